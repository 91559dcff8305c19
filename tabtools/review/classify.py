"""The class of a changed note: what a musician would call the difference."""

from __future__ import annotations

from fractions import Fraction

from tabtools.model.instrument import Instrument
from tabtools.model.solo import Note
from tabtools.review.change import Kind
from tabtools.timeline import TimedNote


def kinds_of(
    before: Note, after: Note, sounded: TimedNote | None, sounds: TimedNote | None, retuned: int = 0
) -> tuple[Kind, ...]:
    """The classes of a change from one note to another, the weightiest first.

    `retuned` is how many semitones the string of the first lies higher in the new version. Where one note's pitches
    are all among the other's (a bend, a release, a grace note more or less), only the way of playing differs. What
    leaves music and doubts as they are is a comment (the pitch heard) or layout (a string named that was
    understood).
    """
    kinds: set[Kind] = set()
    was, now = frozenset(midi + retuned for midi in _pitches(sounded)), _pitches(sounds)
    same_string = _string(before, sounded) == _string(after, sounds)
    same_place = same_string and _fret(before, sounded) == _fret(after, sounds)
    if was and now:
        if not (was <= now or now <= was):
            kinds.add(Kind.PITCH)
        elif was == now and not same_place:
            kinds.add(Kind.PLACE)
    elif before.dead or after.dead:
        if not same_string:
            kinds.add(Kind.PLACE)
    elif not same_place:
        kinds.add(Kind.PITCH)
    if _played(before) != _played(after):
        kinds.add(Kind.TECHNIQUE)
    if before.unsure and not after.unsure:
        kinds.add(Kind.RESOLVED)
    elif after.unsure and (not before.unsure or before.others != after.others):
        kinds.add(Kind.RAISED)
    if not kinds and _frets(before) != _frets(after):
        kinds.add(Kind.TECHNIQUE)
    if before.heard != after.heard:
        kinds.add(Kind.COMMENT)
    return tuple(kind for kind in Kind if kind in kinds) or (Kind.LAYOUT,)


def retuned_by(string: int, before: Instrument, after: Instrument) -> int:
    """How many semitones higher a string sounds unfretted in the new version; 0 where either has no such string."""
    if not (before.has_string(string) and after.has_string(string)):
        return 0
    return after.open_midi(string) - before.open_midi(string)


def _pitches(note: TimedNote | None) -> frozenset[float]:
    return frozenset(note.path) if note else frozenset()


def _string(note: Note, timed: TimedNote | None) -> int | None:
    return timed.string if timed else note.string


def _fret(note: Note, timed: TimedNote | None) -> Fraction | int | None:
    return timed.fret if timed else note.fret


def _played(note: Note) -> tuple[object, ...]:
    """How a note is played, frets aside."""
    signs = tuple(motion.sign for motion in note.motions)
    return note.via, note.dead, note.touch is not None, signs, note.marks


def _frets(note: Note) -> tuple[object, ...]:
    return note.fret, note.touch, note.motions
