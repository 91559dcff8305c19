"""What is true but follows from something else that is told, and is no statement of its own.

- What lies wholly within a stretch that is told as an earlier one, at the same pitches or octaves higher or lower, or
  as a sequence, where something of its kind is told of the earlier stretch.
- A figure in one fingering of which the half at least is an arpeggio, or a figure that comes again.
- A shift along the neck from one phrase to the next: the hand has time, and nobody hears it.
- An approach whose notes are told one by one (`tabtools.study.told_notes`).
- Three notes of the triad of a sounding chord that has more tones.
- The same arpeggio again within a bar.
- Chords that are broken, where more than half of the bars are: once for the solo. Bars picked as earlier ones are.
- A tapped figure that begins as an earlier one, and is a repeated cell or not, as that is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import chain

from tabtools.study.devices import (
    approach,
    arpeggio,
    broken_chord,
    moved_cell,
    picking_pattern,
    position_shift,
    repeated_cell,
    returning_figure,
    sequence,
    swept_chords,
    tapped_figure,
    variation,
    varied_answer,
)
from tabtools.study.devices.device import Device
from tabtools.study.music import Music
from tabtools.study.told_figures import FIGURES
from tabtools.timeline.places import notes_at, range_named

RETURNS = frozenset((returning_figure.KIND, variation.KIND, varied_answer.KIND))
SAYS_A_CELL = frozenset((arpeggio.KIND, repeated_cell.KIND, sequence.KIND, swept_chords.KIND))
AS_IT_WAS = frozenset(("again", "shifted", "octave", "speed"))
"""Variations that have the pitches of the earlier stretch, in some octave."""
BEGUN_AS = frozenset(("cut short", "another end", "longer"))
"""Variations that have these only at their beginning, as many as they count."""
MOST_BETWEEN = 3
"""Strokes between the parts of a sequence."""
FEWEST_TONES = 4
"""Tones of a chord that has more than its triad."""
BEGINNING = 7
"""Strokes by which tapped figures are held to be of one sort."""


def implied(music: Music, devices: Sequence[Device]) -> frozenset[int]:
    """The places in a row of devices of those that follow from others."""
    is_implied = _Implied(music, devices)
    return frozenset(place for place, device in enumerate(devices) if is_implied.by_any(device))


class _Implied:
    """The devices of a solo, looked up by what may say the same."""

    def __init__(self, music: Music, devices: Sequence[Device]):
        self.music = music
        self.kinds: dict[str, list[Device]] = {}
        self.by_note: dict[tuple[str, int], list[int]] = {}
        self.devices = sorted(devices, key=lambda device: device.notes)
        for place, device in enumerate(self.devices):
            self.kinds.setdefault(device.kind, []).append(device)
            for note in set(device.notes):
                self.by_note.setdefault((device.kind, note), []).append(place)
        self.returns: dict[int, list[Mapping[int, int]]] = {}
        for one in _returns(music, devices):
            for note in one:
                self.returns.setdefault(note, []).append(one)
        self.figured = {note for device in devices if device.kind in FIGURES for note in device.notes}
        self.phrase_of = {
            stroke: number
            for number, phrase in enumerate(music.phrases)
            for stroke in range(phrase.first, phrase.last + 1)
        }
        self.first_in_bar: dict[tuple[int, str], Device] = {}
        for device in self.kinds.get(arpeggio.KIND, ()):
            self.first_in_bar.setdefault((device.range.first.bar, device.sentence), device)
        self.first_tapped: dict[tuple[object, ...], Device] = {}
        for device in self.kinds.get(tapped_figure.KIND, ()):
            self.first_tapped.setdefault(self._tapping(device), device)
        self.rules = {
            moved_cell.KIND: self._is_a_cell,
            position_shift.KIND: self._is_between_phrases,
            approach.KIND: self._is_told_by_notes,
            arpeggio.KIND: self._is_own_triad,
            broken_chord.KIND: self._is_broken_throughout,
            picking_pattern.KIND: lambda device: "as_in" in device.data,
            tapped_figure.KIND: self._is_tapped_so_before,
        }

    def by_any(self, device: Device) -> bool:
        rule = self.rules.get(device.kind)
        return bool(rule and rule(device)) or (device.kind not in RETURNS and self._comes_again(device))

    def _comes_again(self, device: Device) -> bool:
        """Whether it lies in a return, and the earlier stretch has something of its kind.

        For the most part is enough where that is told in the same words.
        """
        own = set(device.notes)
        for one in self.returns.get(device.notes[0], ()):
            there = {one[note] for note in own if note in one}
            if 2 * len(there) <= len(own):
                continue
            shared = Counter(chain.from_iterable(self.by_note.get((device.kind, note), ()) for note in there))
            if any(
                2 * count > len(there) and (len(there) == len(own) or self.devices[place].sentence == device.sentence)
                for place, count in shared.items()
            ):
                return True
        return False

    def _is_a_cell(self, device: Device) -> bool:
        said = sum(any((kind, note) in self.by_note for kind in SAYS_A_CELL) for note in set(device.notes))
        return 2 * said >= len(set(device.notes))

    def _is_between_phrases(self, device: Device) -> bool:
        first, last = (self.music.melody.stroke_of[at] for at in (device.notes[0], device.notes[-1]))
        if first is None or last is None:
            return False
        phrase = self.phrase_of.get(first)
        return phrase is None or phrase != self.phrase_of.get(last)

    def _is_told_by_notes(self, device: Device) -> bool:
        return not self.figured.issuperset(device.notes[:-1])

    def _is_own_triad(self, device: Device) -> bool:
        if device.data["shape"] != "triad" or len(device.notes) > 3:
            return self._is_again_in_bar(device)
        backing = self.music.melody.backings[device.notes[-1]]
        degrees = device.data["degrees"]
        is_own = bool(degrees and degrees[0] and degrees[0][0] == "1")
        return (is_own and len(backing.core) >= FEWEST_TONES) or self._is_again_in_bar(device)

    def _is_again_in_bar(self, device: Device) -> bool:
        return self.first_in_bar[device.range.first.bar, device.sentence].notes < device.notes

    def _is_broken_throughout(self, device: Device) -> bool:
        return self.has_broken_most_bars and device.notes != self.kinds[broken_chord.KIND][0].notes

    @cached_property
    def has_broken_most_bars(self) -> bool:
        """Whether chords are broken in more than half of the bars."""
        timeline = self.music.melody.timeline
        own = self.kinds[broken_chord.KIND]
        return 2 * len({timeline.notes[at].begins.bar for one in own for at in one.notes}) > len(timeline.bars)

    def _is_tapped_so_before(self, device: Device) -> bool:
        return self.first_tapped[self._tapping(device)].notes < device.notes

    def _tapping(self, device: Device) -> tuple[object, ...]:
        notes = self.music.melody.timeline.notes
        is_cell = any((repeated_cell.KIND, note) in self.by_note for note in device.notes)
        return is_cell, *[notes[index].via for index in device.notes[:BEGINNING]]


def _returns(music: Music, devices: Iterable[Device]) -> Iterator[Mapping[int, int]]:
    """For each stretch that is told as an earlier one, the earlier note of each of its notes."""
    lines = [music.tune, music] if music.bass else [music]
    for device in devices:
        if device.kind not in (returning_figure.KIND, variation.KIND):
            continue
        line = lines[0] if device.data.get("voice") else lines[-1]
        melody = line.melody
        stretch = range_named(device.data["as_in"])
        there = notes_at(melody.timeline, stretch) if stretch else ()
        earlier = sorted({place for note in there if (place := melody.stroke_of[note.index]) is not None})
        own = sorted({place for note in device.notes if (place := melody.stroke_of[note]) is not None})
        if not earlier or not own or not _is_as_it_was(music, device, earlier, own):
            continue
        strokes = melody.strokes
        pairs = list(zip(own, earlier, strict=False))
        if device.data.get("how") in BEGUN_AS:
            pairs = pairs[: device.data["count"]]
        yield {
            note: other
            for here, before in pairs
            for note, other in zip(strokes[here].notes, strokes[before].notes, strict=False)
        }


def _is_as_it_was(music: Music, device: Device, earlier: Sequence[int], own: Sequence[int]) -> bool:
    """Whether a return has the pitches of the earlier stretch, in some octave, or comes at once, a sequence."""
    strokes = music.melody.strokes
    how = device.data.get("how")
    if how is None or how in ("again", "moved"):
        by = device.data["semitones"] if how is None else device.data["by"]
        if by == 0 or (by % 12 == 0 and not device.data.get("in_key")):
            return len(earlier) == len(own)
        between = own[0] - earlier[-1] - 1
        is_at_once = 0 <= between <= MOST_BETWEEN and len(earlier) == len(own)
        return is_at_once and (between == 0 or strokes[own[0]].in_bar == strokes[earlier[0]].in_bar)
    return how in BEGUN_AS or (how in AS_IT_WAS and len(earlier) == len(own))
