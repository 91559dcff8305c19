"""Taps of the other hand against the fingers of the fretting hand."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tabtools.hand.grasp import JUST, Grasp, Press
from tabtools.timeline import TimedNote

JUST_BEFORE = 0.25
"""Seconds within which the fretting hand counts as still there (assumed)."""


class Tap(NamedTuple):
    """A tap at a fret, by the index of its note, and the highest place the fretting hand holds or just held."""

    note: int
    string: int
    fret: float
    over: Press | None
    held: bool


def taps_of(notes: Sequence[TimedNote], grasps: Sequence[Grasp], pressed: Sequence[tuple[Press, ...]]) -> Iterator[Tap]:
    """Every tap, in order."""
    tapped = [
        (index, fret) for index, note in enumerate(notes) if note.via == "t" or note.motions for fret in _frets(note)
    ]
    starts = [grasp.start for grasp in grasps] if tapped else []
    for index, fret in tapped:
        note = notes[index]
        held = _under(index, note, notes, pressed)
        number = bisect_right(starts, note.start + JUST) - 1
        if number >= 0:
            grasp = grasps[number]
            held += [press for press in grasp.presses if press.end > note.start + JUST and press.note != index]
        if held:
            yield Tap(index, note.string, fret, max(held, key=lambda press: press.fret), True)
        elif number >= 0 and note.start - grasp.last < JUST_BEFORE:
            yield Tap(index, note.string, fret, max(grasp.presses, key=lambda press: press.fret), False)
        else:
            yield Tap(index, note.string, fret, None, False)


def _frets(note: TimedNote) -> Iterator[float]:
    if note.via == "t" and note.fret is not None:
        yield float(note.fret)
    for motion in note.motions:
        if motion.sign == "t" and motion.fret is not None:
            yield float(motion.fret)


def _under(
    index: int, note: TimedNote, notes: Sequence[TimedNote], pressed: Sequence[tuple[Press, ...]]
) -> list[Press]:
    """The finger on the string that is tapped."""
    if note.via == "t":
        return list(pressed[note.origin][-1:]) if note.origin is not None else []
    return list(pressed[index][:1])
