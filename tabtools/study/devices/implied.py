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

from collections.abc import Iterable, Iterator, Mapping, Sequence

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
        for device in sorted(devices, key=lambda device: device.notes):
            self.kinds.setdefault(device.kind, []).append(device)
        self.returns: dict[int, list[Mapping[int, int]]] = {}
        for one in _returns(music, devices):
            for note in one:
                self.returns.setdefault(note, []).append(one)
        self.figured = {note for device in devices if device.kind in FIGURES for note in device.notes}
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
            if 2 * len(there) > len(own) and any(
                2 * len(there.intersection(before.notes)) > len(there)
                for before in self.kinds[device.kind]
                if len(there) == len(own) or before.sentence == device.sentence
            ):
                return True
        return False

    def _is_a_cell(self, device: Device) -> bool:
        own = set(device.notes)
        said = {note for kind in SAYS_A_CELL for told in self.kinds.get(kind, ()) for note in told.notes}
        return 2 * len(own & said) >= len(own)

    def _is_between_phrases(self, device: Device) -> bool:
        first, last = (self.music.melody.stroke_of[at] for at in (device.notes[0], device.notes[-1]))
        if first is None or last is None:
            return False
        return not any(phrase.first <= first <= last <= phrase.last for phrase in self.music.phrases)

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
        bar = device.range.first.bar
        return any(
            before.notes < device.notes and before.range.first.bar == bar and before.sentence == device.sentence
            for before in self.kinds[arpeggio.KIND]
        )

    def _is_broken_throughout(self, device: Device) -> bool:
        own = self.kinds[broken_chord.KIND]
        bars = {self.music.melody.timeline.notes[at].begins.bar for one in own for at in one.notes}
        is_throughout = 2 * len(bars) > len(self.music.melody.timeline.bars)
        return is_throughout and device.notes != own[0].notes

    def _is_tapped_so_before(self, device: Device) -> bool:
        sort = self._tapping(device)
        earlier = (one for one in self.kinds[tapped_figure.KIND] if one.notes < device.notes)
        return any(self._tapping(one) == sort for one in earlier)

    def _tapping(self, device: Device) -> tuple[object, ...]:
        notes = self.music.melody.timeline.notes
        cells = self.kinds.get(repeated_cell.KIND, ())
        is_cell = any(not set(cell.notes).isdisjoint(device.notes) for cell in cells)
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
