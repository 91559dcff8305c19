"""Chords with open strings that are struck one string after the other keep the fingers they are held with.

A line takes each note with the finger that comes best; where single notes go over four strings at the nut, each string
at one fret and some of them open, the hand holds the chord meanwhile (common practice in picking with the fingers).
"""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.hand.grasp import Grasping
from tabtools.hand.grip import Shape, Stop
from tabtools.hand.moves import Moves
from tabtools.hand.profile import WARNING_STRAIN
from tabtools.hand.stance import FINGERS_OF_A_HAND
from tabtools.timeline import TimedNote

HIGHEST, FEWEST_STRINGS, FEWEST_HELD = 4, 4, 2
"""A chord at the nut lies no higher; so many strings make one, so many of them held."""


def hold_broken_chords(grasping: Grasping, moves: Moves) -> None:
    """Ask for the fingers of the chord where one is struck string by string."""
    free = 0
    for index in grasping.struck_open:
        if index >= free:
            numbers = _chord_around(grasping.notes, index, free)
            free = max(free, numbers.stop)
            at = {note.string: note.fret for note in grasping.notes[numbers.start : numbers.stop]}
            held = tuple([Stop(string, fret) for string, fret in sorted(at.items()) if type(fret) is int and fret])
            if FEWEST_HELD <= len(held) < len(at) >= FEWEST_STRINGS:
                opens = tuple(sorted(string for string, fret in at.items() if not fret))
                _hold(grasping, numbers, moves.shape(held, opens))


def _chord_around(notes: Sequence[TimedNote], index: int, free: int) -> range:
    """The notes of one chord around an open string, none before `free`.

    Where a string is struck at another fret the next chord has begun, by the lowest of the strings since.
    """
    at: dict[int, int] = {}
    start = index
    while start >= free and _goes_on(notes, start, at):
        start -= 1
    start += 1
    last = dict(zip([note.string for note in notes[start : index + 1]], range(start, index + 1), strict=True))
    end = index + 1
    while end < len(notes) and _goes_on(notes, end, at):
        last[notes[end].string] = end
        end += 1
    if end < len(notes) and _is_alone(notes, end) and notes[end].string in last:
        since = range(last[notes[end].string] + 1, end + 1)
        end = max(since, key=lambda number: (notes[number].string, number))
    return range(start, end)


def _goes_on(notes: Sequence[TimedNote], number: int, at: dict[int, int]) -> bool:
    """Whether a note is of the chord whose frets are known so far, by string; its own is added."""
    string, fret = notes[number].string, notes[number].fret
    if type(fret) is not int or fret > HIGHEST or not _is_alone(notes, number):
        return False
    return at.setdefault(string, fret) == fret


def _is_alone(notes: Sequence[TimedNote], number: int) -> bool:
    """Whether it is a single note, struck, with nothing else to it."""
    note = notes[number]
    is_single = note.part == 1 and (number + 1 == len(notes) or notes[number + 1].part == 1)
    return is_single and not (note.via or note.marks or note.motions)


def _hold(grasping: Grasping, numbers: range, shape: Shape) -> None:
    """Give the notes the fingers that hold the chord best, if a hand can."""
    _, grip = min(zip(shape.costs, shape.grips, strict=True), key=lambda one: one[0])
    if shape.needed > FINGERS_OF_A_HAND or grip.strain > WARNING_STRAIN:
        return
    fingers = {stop.string: finger for stop, finger in zip(shape.stops, grip.fingers, strict=True)}
    for number in numbers:
        for press in grasping.pressed[number]:
            press.led = fingers[press.string]
