"""The class of a changed note: what a musician would call the difference."""

from __future__ import annotations

from enum import IntEnum
from fractions import Fraction

from tabtools.model.instrument import Instrument
from tabtools.model.solo import Heard, Note
from tabtools.review.change import Kind
from tabtools.timeline import TimedNote


class Known(IntEnum):
    """How much is known of a note."""

    NOTHING = 0
    ITS_BEING = 1
    ITS_PITCH = 2
    ITS_PLACE = 3


def known_of(note: Note, timed: TimedNote | None) -> Known:
    """How much is known of a note as it is written; a fret on a string that cannot be told is no place."""
    if note.unheard:
        return Known.NOTHING
    if note.unknown:
        return Known.ITS_BEING
    return Known.ITS_PITCH if note.pitch is not None or not string_of(note, timed) else Known.ITS_PLACE


def kinds_of(
    before: Note, after: Note, sounded: TimedNote | None, sounds: TimedNote | None, retuned: int = 0
) -> tuple[Kind, ...]:
    """The classes of a change from one note to another, the weightiest first.

    `retuned` is how many semitones the string of the first lies higher in the new version. Where one note's pitches
    are all among the other's (a bend, a release, a grace note more or less), only the way of playing differs. What
    leaves music and doubts as they are is a comment (the pitch heard) or layout (a string named that was
    understood). Where a pitch is heard that was not, or no more, no doubt about it comes or goes.
    """
    was_known, is_known = known_of(before, sounded), known_of(after, sounds)
    if was_known is is_known and not (before.is_open or after.is_open):
        kinds = _of_places(before, after, sounded, sounds, retuned)
    else:
        kinds = _of_open(before, after, sounded, sounds)
    kinds |= _of_goals(before, after, sounded, sounds)
    if _played(before) != _played(after):
        kinds.add(Kind.TECHNIQUE)
    if before.unsure and not after.unsure:
        kinds |= {Kind.RESOLVED} if is_known >= Known.ITS_PITCH else set()
    elif after.unsure and not before.unsure:
        kinds |= {Kind.RAISED} if was_known >= Known.ITS_PITCH else set()
    elif before.others != after.others:
        kinds.add(Kind.READINGS)
    if not kinds and _frets(before) != _frets(after):
        kinds.add(Kind.TECHNIQUE)
    is_renamed = before.pitch_heard != after.pitch_heard and not (before.pitch and Kind.PITCH in kinds)
    if is_renamed and was_known is is_known and _names(before) != _names(after):
        kinds.add(Kind.COMMENT)
    return tuple(kind for kind in Kind if kind in kinds) or (Kind.LAYOUT,)


def _of_places(
    before: Note, after: Note, sounded: TimedNote | None, sounds: TimedNote | None, retuned: int
) -> set[Kind]:
    """Between two notes that have their place, as far as the strings can be told."""
    was, now = frozenset(midi + retuned for midi in _pitches(sounded)), _pitches(sounds)
    same_string = string_of(before, sounded) == string_of(after, sounds)
    same_place = same_string and _fret(before, sounded) == _fret(after, sounds)
    if was and now:
        if not (was <= now or now <= was):
            return {Kind.PITCH}
        return {Kind.PLACE} if was == now and not same_place else set()
    if before.dead or after.dead:
        return set() if same_string else {Kind.PLACE}
    return set() if same_place else {Kind.PITCH}


def _of_open(before: Note, after: Note, sounded: TimedNote | None, sounds: TimedNote | None) -> set[Kind]:
    """Where one of two notes, or both, are open."""
    was_known, is_known = known_of(before, sounded), known_of(after, sounds)
    was, now = _pitches(sounded), _pitches(sounds)
    kinds: set[Kind] = set()
    if was and now and not (was <= now or now <= was):
        kinds.add(Kind.PITCH)
    if was_known < is_known:
        kinds |= {Kind.HEARD} if was_known < Known.ITS_PITCH else set()
        kinds |= {Kind.PLACED} if is_known is Known.ITS_PLACE else set()
    elif is_known < was_known:
        kinds.add(Kind.OPENED)
    elif bool(was) != bool(now):
        kinds.add(Kind.PITCH)
    elif (string := string_of(before, sounded)) != (other := string_of(after, sounds)):
        kinds.add(Kind.PLACE if string and other else Kind.PLACED if other else Kind.OPENED)
    return kinds


def _of_goals(before: Note, after: Note, sounded: TimedNote | None, sounds: TimedNote | None) -> set[Kind]:
    """Where the same moves lead to the same pitches, once by a fret and once by a pitch."""
    signs, other = ([motion.sign for motion in note.motions] for note in (before, after))
    if signs != other or _pitches(sounded) != _pitches(sounds):
        return set()
    was_open, is_open = ([motion.pitch is not None for motion in note.motions] for note in (before, after))
    found = zip(was_open, is_open, strict=True)
    return {Kind.PLACED if was else Kind.OPENED for was, is_ in found if was is not is_}


def retuned_by(string: int, before: Instrument, after: Instrument) -> int:
    """How many semitones higher a string sounds unfretted in the new version; 0 where either has no such string."""
    if not (before.has_string(string) and after.has_string(string)):
        return 0
    return after.open_midi(string) - before.open_midi(string)


def string_of(note: Note, timed: TimedNote | None) -> int | None:
    """The string of a note; 0 or None where it is not known."""
    return timed.string if timed else note.string


def _pitches(note: TimedNote | None) -> frozenset[float]:
    return frozenset(note.path) if note else frozenset()


def _fret(note: Note, timed: TimedNote | None) -> Fraction | int | None:
    return timed.fret if timed else note.fret


def _played(note: Note) -> tuple[object, ...]:
    """How a note is played, frets aside."""
    signs = tuple(motion.sign for motion in note.motions)
    return note.via, note.dead, note.touch is not None, signs, note.marks


def _names(note: Note) -> set[Heard | None]:
    """The pitches that were noted, behind its place or in the place of one."""
    return {note.pitch_heard, *(motion.pitch for motion in note.motions)} - {None}


def _frets(note: Note) -> tuple[object, ...]:
    return note.fret, note.touch, note.motions
