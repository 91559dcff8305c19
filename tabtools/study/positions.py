"""Where the fretting hand stands, as a reader of the tab sees it.

Notes are gathered into positions from left to right, as long as all fretted notes lie within five frets (one finger a
fret and a stretch of one fret, common practice); the first stroke that does not fit begins the next position. Open
strings, natural harmonics, dead notes and taps belong to no position; a bend counts with the fret that is held, a slide
within a slot with both its frets. A position is named by its lowest fret. `tabtools.hand` works out the fingers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from tabtools.timeline import TimedNote

FRETS = 5


@dataclass(slots=True)
class Position:
    """Fretted notes that lie within one position: notes `first` to `last` of the timeline."""

    first: int
    last: int
    low: Fraction | int
    high: Fraction | int


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
        yield [note.fret for note in fretted if note.fret]
        if any(note.held != note.fret and note.held for note in fretted):
            yield [fret for note in fretted if (fret := note.held or note.fret)]


def _is_touched(note: TimedNote) -> bool:
    return note.note.touch is not None and note.note.fret is None
