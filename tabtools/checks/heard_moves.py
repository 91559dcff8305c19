"""Moves and bends between pitches that were heard: what is wrong with them can be told before their frets are known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tabtools.model.pitch import nearest_semitone, pitch_name
from tabtools.model.solo import PITCH_MOVES
from tabtools.timeline import TimedNote
from tabtools.wording import several

WIDEST_BEND = 5
"""Semitones; a plain .010 string breaks at about five and a half (from memory of the strength of music wire)."""
OCTAVE = 12

_WAYS = {"h": 1, "p": -1, "/": 1, "\\": -1}
_NAMES = {"h": "a hammer-on", "p": "a pull-off", "/": "this slide", "\\": "this slide"}
_OTHER_WAY = {"h": "p", "p": "h", "/": "\\", "\\": "/"}


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
    rest, pitch = timed.attack, timed.attack
    if timed.via and timed.origin is not None:
        origin = every[timed.origin]
        rest, start = _rest(origin, every), origin.midi
        pitch = timed.note.pitch.midi if timed.note.pitch else timed.attack
        if timed.note.pitch is not None and rest is not None and start is not None:
            yield HeardMove(timed.via, rest, start, timed.note.pitch.midi)
        if timed.via not in PITCH_MOVES:
            rest = pitch
    for motion in timed.motions:
        end: float | None = motion.pitch.midi if motion.pitch else None
        if end is None and motion.fret is not None and timed.fret is not None and timed.attack is not None:
            end = timed.attack + float(motion.fret - timed.fret)
        if end is None:
            continue
        if motion.pitch is not None and rest is not None and pitch is not None:
            yield HeardMove(motion.sign, rest, rest if motion.sign == "pb" else pitch, end)
        if motion.sign not in (*PITCH_MOVES, "pb"):
            rest = end
        pitch = end


def _rest(note: TimedNote, every: Sequence[TimedNote]) -> float | None:
    """The pitch of a note's string by its end, were it not bent."""
    while note.note.only_moves_pitch and note.origin is not None:
        note = every[note.origin]
    moves = [(motion, midi) for motion, midi in zip(_arriving(note), note.path[1:], strict=False)]
    stopped = [midi for sign, midi in moves if sign not in (*PITCH_MOVES, "pb")]
    return stopped[-1] if stopped else note.attack


def _arriving(note: TimedNote) -> list[str]:
    return [motion.sign for motion in note.motions if motion.arrives and motion.sign != "pb"]


def wrong_way(move: HeardMove) -> tuple[str, str] | None:
    """What is wrong with a hammer-on, a pull-off or a slide."""
    way = _WAYS.get(move.sign)
    if way is None or (move.end - move.start) * way > 0:
        return None
    goal = _name(move.end)
    if move.end == move.start:
        message = f"{_NAMES[move.sign]} goes to {goal}, which sounds already"
        return message, "check both pitches; to strike the note again, write it without the move"
    side = "below" if way > 0 else "above"
    message = f"{_NAMES[move.sign]} goes {'up' if way > 0 else 'down'}, but {goal} lies {side} {_name(move.start)}"
    return message, f"check both pitches, or write {_OTHER_WAY[move.sign]}={goal}"


def wrong_bend(move: HeardMove) -> tuple[str, str] | None:
    """What is wrong with a bend or a release."""
    start, end = _name(move.start), _name(move.end)
    if move.sign == "r":
        if move.start <= move.rest:
            return (
                "a release without a bend: the string is not bent here",
                "write the bend before it, like =D4b=E4 r=D4",
            )
        if move.end >= move.start:
            return f"a release goes down, but {end} is not below {start}", "check both pitches"
        if move.end < move.rest:
            message = f"a release to {end} goes below {_name(move.rest)}, which sounds unbent"
            return message, f"release to {_name(move.rest)}, then pull off with p={end}"
        return None
    if move.sign not in ("b", "pb"):
        return None
    if move.end <= move.start:
        advice = f"write r={end} for a release" if move.start > move.rest else "check both pitches"
        return f"a bend goes up, but {end} is not above {start}", advice
    if move.end - move.rest > WIDEST_BEND:
        steps = int(move.end - move.rest)
        message = f"a bend of {several(steps, 'semitone')}, from {_name(move.rest)} to {end}"
        lower = move.end - OCTAVE
        near = f": an octave lower would be {_name(lower)}" if lower > move.rest else ""
        return message, f"no string bears that; check both pitches{near}"
    return None


def _name(midi: float) -> str:
    return pitch_name(nearest_semitone(midi))
