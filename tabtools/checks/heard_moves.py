"""Moves and bends between pitches that were heard: what is wrong with them can be told before their frets are known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tabtools.model.pitch import nearest_semitone, pitch_name
from tabtools.model.solo import PITCH_MOVES, PRE_BEND
from tabtools.timeline import TimedNote
from tabtools.wording import several

WIDEST_BEND = 5
"""Semitones; a plain .010 string breaks at about five and a half (from memory of the strength of music wire)."""
OCTAVE = 12


class HeardMove(NamedTuple):
    """A move to a pitch that stands in the place of a fret: MIDI numbers.

    `rest` is the pitch of the string when it is not bent.
    """

    sign: str
    rest: float
    start: float
    end: float


def heard_moves(timed: TimedNote, every: Sequence[TimedNote]) -> Iterator[HeardMove]:
    """The moves of a note that name a pitch, as far as it is known where they come from."""
    if not timed.note.names_pitch or not timed.path:
        return
    rest = _unbent(timed)
    if timed.via and timed.origin is not None:
        origin = every[timed.origin]
        before = _rest(origin, every)
        if timed.note.pitch is not None and origin.midi is not None and before is not None:
            yield HeardMove(timed.via, before, origin.midi, timed.note.pitch.midi)
        if timed.via in PITCH_MOVES:
            rest = before
    if rest is None or timed.attack is None:
        return
    for motion in timed.motions:
        if motion.sign == PRE_BEND and motion.pitch is not None:
            yield HeardMove(motion.sign, rest, rest, motion.pitch.midi)
    steps = timed.steps
    pitch = timed.path[-1 - len(steps)]
    for motion, reached in steps:
        if motion.pitch is not None:
            yield HeardMove(motion.sign, rest, pitch, reached)
        if motion.sign not in PITCH_MOVES:
            rest = reached
        pitch = reached


def _unbent(note: TimedNote) -> float | None:
    """The pitch a note begins at, or would were it not bent before it is struck; None where that is not known."""
    if note.note.unknown:
        return None
    if note.note.pitch is not None:
        return note.note.pitch.midi
    bent = next((motion.fret for motion in note.motions if motion.sign == PRE_BEND), None)
    if bent is None or note.fret is None or note.attack is None:
        return note.attack
    return note.attack - float(bent - note.fret)


def _rest(note: TimedNote, every: Sequence[TimedNote]) -> float | None:
    """The pitch of a note's string by its end, were it not bent."""
    while note.note.only_moves_pitch and note.origin is not None:
        note = every[note.origin]
    stopped = [pitch for motion, pitch in note.steps if motion.sign not in PITCH_MOVES]
    return stopped[-1] if stopped else _unbent(note)


def wrong_bend(move: HeardMove) -> tuple[str, str] | None:
    """What is wrong with a bend or a release."""
    start, end = name_of(move.start), name_of(move.end)
    if move.sign == "r":
        if move.start <= move.rest:
            return (
                "a release without a bend: the string is not bent here",
                "write the bend before it, like =D4b=E4 r=D4",
            )
        if move.end >= move.start:
            return f"a release goes down, but {end} is not below {start}", "check both pitches"
        if move.end < move.rest:
            message = f"a release to {end} goes below {name_of(move.rest)}, which sounds unbent"
            return message, f"release to {name_of(move.rest)}, then pull off with p={end}"
        return None
    if move.sign not in ("b", "pb"):
        return None
    if move.end <= move.start:
        advice = f"write r={end} for a release" if move.start > move.rest else "check both pitches"
        return f"a bend goes up, but {end} is not above {start}", advice
    if move.end - move.rest > WIDEST_BEND:
        steps = int(move.end - move.rest)
        message = f"a bend of {several(steps, 'semitone')}, from {name_of(move.rest)} to {end}"
        lower = move.end - OCTAVE
        near = f": an octave lower would be {name_of(lower)}" if lower > move.rest else ""
        return message, f"no string bears that; check both pitches{near}"
    return None


def name_of(midi: float) -> str:
    """The name of the pitch nearest to a MIDI number."""
    return pitch_name(nearest_semitone(midi))
