"""The plucking hand does the same again: one pattern of thumb and fingers in bar after bar.

Found, where each stroke is marked with a finger (`[rh p]`, `[rh i]` …): two bars or more one after another in which the
same fingers pluck at the same moments, middle and ring finger (m, a) for each other as the strings ask for it. Of thumb
and finger together the thumb counts. What happens on the last count of
a bar may be another thing each time, as long as four strokes come before it.

Where a pattern comes again later it is told as that.

`data`: `fingers` (of a bar, or what its bars share), `bars`, `varies` (whether the last counts differ), `as_in` (the
address of the first bars picked so, where these are not the first).

Example: p i m a p i m a in two bars is "the same picking in two bars: p-i-m-a-p-i-m-a".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from tabtools.score.two_voices import THUMB, plucking_finger
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "picking pattern"
FEWEST_STROKES, FEWEST_BARS = 4, 2

Picked = tuple[Fraction, str]
"""When in its bar a stroke comes, and the finger that counts."""


def find(music: Music) -> Iterator[Device]:
    """Each pattern, in order."""
    if not music.bass:
        return
    bars = _bars(music)
    told: dict[tuple[Picked, ...], Device] = {}
    start = 0
    while start < len(bars):
        end = start + 1
        while end < len(bars) and _goes_on(bars[start], bars[end - 1], bars[end]):
            end += 1
        if end - start >= FEWEST_BARS:
            key = tuple(bars[start].alike)
            device = _device(music, bars[start:end], told.get(key))
            told.setdefault(key, device)
            yield device
        start = end


class PickedBar:
    """The strokes of a bar: their notes, what they are picked with, and how much of it stands before the last count."""

    def __init__(self, onset: Fraction, length: Fraction, beat: Fraction, notes: Sequence[TimedNote]):
        strokes = [list(same) for _, same in groupby(notes, key=lambda note: note.begins.offset)]
        self.ends = onset + length
        self.onset = onset
        self.notes = notes
        self.picked = [(own[0].begins.offset, _finger(own)) for own in strokes]
        self.before_last = [one for one in self.picked if one[0] < length - beat]
        self.alike = [(offset, "m" if finger == "a" else finger) for offset, finger in self.before_last]

    @property
    def is_pattern(self) -> bool:
        return len(self.before_last) >= FEWEST_STROKES and all(finger for _, finger in self.picked)


def _bars(music: Music) -> list[PickedBar]:
    notes = music.melody.timeline.notes
    plucked = [note for note in notes if note.midi is not None and note.origin is None]
    by_onset = {bar.onset: bar for bar in music.melody.timeline.bars}
    return [
        PickedBar(onset, by_onset[onset].length, by_onset[onset].meter.beat, list(same))
        for onset, same in groupby(plucked, key=lambda note: note.begins.bar)
        if by_onset[onset].written.free is None
    ]


def _finger(own: Sequence[TimedNote]) -> str:
    """The finger that counts; empty where one is not marked."""
    fingers = [plucking_finger(note) for note in own]
    if not all(fingers) or any(note.line.doubtful for note in own):
        return ""
    return THUMB if THUMB in fingers else fingers[-1]


def _goes_on(first: PickedBar, before: PickedBar, here: PickedBar) -> bool:
    is_next = before.ends == here.onset
    return is_next and first.is_pattern and here.is_pattern and first.alike == here.alike


def _device(music: Music, bars: Sequence[PickedBar], earlier: Device | None) -> Device:
    varies = any(bar.picked[len(bar.alike) :] != bars[0].picked[len(bar.alike) :] for bar in bars)
    fingers = [finger for _, finger in (bars[0].before_last if varies else bars[0].picked)]
    said = f"the same picking in {in_words(len(bars))} bars: {'-'.join(fingers)}"
    said += ", a for m in places" if any(bar.before_last != bars[0].before_last for bar in bars) else ""
    said += ", and a last count that varies" if varies else ""
    first, last = (music.melody.stroke_of[index] for index in (bars[0].notes[0].index, bars[-1].notes[-1].index))
    notes = music.melody.notes_of(first or 0, last or 0)
    where = stretch_of(music.melody.timeline.notes, notes[0], notes[-1])
    data: dict[str, object] = {"fingers": fingers, "bars": len(bars), "varies": varies}
    if earlier:
        said = f"{in_words(len(bars))} bars picked as in {earlier.range}"
        data["as_in"] = str(earlier.range)
    return Device(KIND, where, notes, said, data, main=False)
