"""Position shifts: the hand leaves one position for another.

Found: notes are gathered into positions from left to right, as long as all fretted notes lie within five frets (one
finger a fret and a stretch of one fret, common practice); the first stroke that does not fit begins the next position,
and is where the hand has shifted. Open strings, natural harmonics, dead notes and taps belong to no position; a bend
counts with the fret that is held, a slide within a slot with both its frets. A position is named by its lowest fret.

This is about places on the neck: the same pitches at other places may have none. `tabtools.hand` works out the fingers;
this is what a reader of the tab sees.

`data`: `from` and `to` (frets), `frets` (how far, below zero for down), `by` (`slide` where a slide arrives there,
`open string` where one sounds between, else `jump`).

Example: `3:5 3:7 2:5`, then `2:12 2:15` is "from position 5 up to position 12".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from tabtools.notation.write import decimal
from tabtools.study.devices.device import Device
from tabtools.study.devices.music import Music
from tabtools.study.melody import stretch_of
from tabtools.timeline import TimedNote

KIND = "position shift"
FRETS = 5
SLIDES = frozenset("/\\")


@dataclass(slots=True)
class Position:
    """Fretted notes that lie within one position: notes `first` to `last` of the timeline."""

    first: int
    last: int
    low: Fraction | int
    high: Fraction | int


def find(music: Music) -> Iterator[Device]:
    """Each shift, in order."""
    notes = music.melody.timeline.notes
    for before, after in pairwise(positions_of(notes)):
        yield _device(notes, before, after)


def positions_of(notes: Sequence[TimedNote]) -> Iterator[Position]:
    """The positions one after another; notes that belong to none go with the one before."""
    position = None
    index = 0
    while index < len(notes):
        end = index + 1
        while end < len(notes) and notes[end].part > 1:
            end += 1
        for frets in _frets(notes[index:end]):
            low, high = min(frets), max(frets)
            if position is not None and max(high, position.high) - min(low, position.low) < FRETS:
                position.last = end - 1
                position.low, position.high = min(low, position.low), max(high, position.high)
                continue
            if position is not None:
                yield position
            position = Position(index, end - 1, low, high)
        index = end
    if position is not None:
        yield position


def _frets(struck: Sequence[TimedNote]) -> Iterator[list[Fraction | int]]:
    """The frets that the fretting hand holds as a stroke begins, and, where it slides, those as it ends."""
    fretted = [
        note for note in struck if note.fret and note.midi is not None and note.via != "t" and not _is_touched(note)
    ]
    if fretted:
        yield [note.fret for note in fretted]
        if any(note.held != note.fret and note.held for note in fretted):
            yield [note.held or note.fret for note in fretted]


def _is_touched(note: TimedNote) -> bool:
    return note.note.touch is not None and note.note.fret is None


def _device(notes: tuple[TimedNote, ...], before: Position, after: Position) -> Device:
    arriving = notes[after.first]
    if arriving.via in SLIDES or any(motion.sign in SLIDES and motion.fret for motion in arriving.note.motions):
        way = "slide"
    elif any(note.fret == 0 for note in notes[before.last + 1 : after.first]):
        way = "open string"
    else:
        way = "jump"
    far = after.low - before.low
    names = [decimal(position.low) for position in (before, after)]
    said = f"from position {names[0]} {'up' if far > 0 else 'down'} to position {names[1]}"
    said += {"slide": ", on a slide", "open string": ", over an open string", "jump": ""}[way]
    last = after.first
    while last + 1 < len(notes) and notes[last + 1].part > 1:
        last += 1
    first = min(before.last, after.first)
    indices = tuple(range(first, last + 1))
    data = {"from": _number(before.low), "to": _number(after.low), "frets": _number(far), "by": way}
    return Device(KIND, stretch_of(notes, first, last), indices, said, data)


def _number(fret: Fraction | int) -> int | float:
    return int(fret) if fret == int(fret) else float(fret)
