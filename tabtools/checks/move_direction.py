"""A move that goes the wrong way, or nowhere.

A hammer-on goes up, a pull-off down; `/` slides up and `\\` down. A move that arrives where the finger already is
moves nothing. And an open string has no finger that could slide anywhere or give it vibrato: a slide from it, and
vibrato that is not the bar's, get a warning, a slide off into nowhere an error. Nor has a dead note a pitch to waver.

Passes:

    bar 1  Am
    1-2  3:5 h7 p5
    3-4  3:5/9 \\7

Fails:

    bar 1  Am
    1-2  3:5 p7
    3-4  .
"""

from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import NamedTuple

from tabtools.checks.heard_moves import heard_moves, name_of
from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import fret_text
from tabtools.problem import Severity
from tabtools.timeline import TimedNote

NAME = "move-direction"
SEVERITY = Severity.ERROR

_WAYS = {"h": 1, "p": -1, "/": 1, "\\": -1}
_VIBRATO = frozenset(("~", "~~"))
_NAMES = {"h": "a hammer-on", "p": "a pull-off", "/": "this slide", "\\": "this slide"}
_OTHER_WAY = {"h": "p", "p": "h", "/": "\\", "\\": "/"}


class _Terms(NamedTuple):
    """How frets, or pitches, are put into words: two of them, one reached already, its name, how it is written."""

    both: str
    already: str
    name: Callable[[float], str]
    written: Callable[[float], str]


_FRETS = _Terms("frets", "where the finger is already", lambda fret: f"fret {fret_text(fret)}", fret_text)
_PITCHES = _Terms("pitches", "which sounds already", name_of, lambda midi: f"={name_of(midi)}")


def check(subject: Subject) -> Iterator[Finding]:
    """Moves between slots, then those within."""
    every = subject.timeline.notes
    for timed in subject.written_notes:
        if timed.via in _WAYS and timed.origin is not None and timed.note.fret is not None:
            origin = every[timed.origin]
            if origin.held is not None and not _is_open_harmonic(origin):
                fault = _fault(timed.via, origin.held, timed.note.fret, _FRETS)
                if not subject.is_context_lost(timed.address, timed.note.span):
                    if fault:
                        yield Finding(timed.note.span, *fault, timed.address)
                    elif timed.via == "/" and not origin.held:
                        yield _slide_from_open(timed, timed.string, timed.note.fret)
        if timed.motions:
            yield from _within(timed)
        for move in heard_moves(timed, every):
            fault = _fault(move.sign, move.start, move.end, _PITCHES) if move.sign in _WAYS else None
            if fault and not subject.is_context_lost(timed.address, timed.note.span):
                yield Finding(timed.note.span, *fault, timed.address)


def _is_open_harmonic(timed: TimedNote) -> bool:
    return timed.note.touch is not None and timed.note.fret is None


def _within(timed: TimedNote) -> Iterator[Finding]:
    held = None if _is_open_harmonic(timed) else timed.fret
    for motion in timed.motions:
        if motion.sign in _VIBRATO and (fault := _without_finger(timed, held)) is not None:
            yield Finding(timed.note.span, *fault, timed.address, Severity.WARNING)
        if motion.sign not in _WAYS and motion.sign != "t":
            continue
        if motion.arrives:
            if held is not None and motion.fret is not None and motion.pitch is None and motion.sign in _WAYS:
                fault = _fault(motion.sign, held, motion.fret, _FRETS)
                if fault:
                    yield Finding(timed.note.span, *fault, timed.address)
                elif motion.sign == "/" and not held:
                    yield _slide_from_open(timed, timed.string, motion.fret)
            held = motion.fret
        elif held == 0:
            message = "an open string has no finger that could slide"
            yield Finding(timed.note.span, message, "drop the slide, or name the fret it starts from", timed.address)


def _slide_from_open(timed: TimedNote, string: int, fret: Fraction | int) -> Finding:
    message = f"an open string has no finger that could slide to fret {fret_text(fret)}"
    low = max(1, int(fret) - 2)
    advice = f"name the fret the slide starts from, like {string}:{low}/{fret_text(fret)}, or write h{fret_text(fret)}"
    return Finding(timed.note.span, message, advice, timed.address, Severity.WARNING)


def _without_finger(timed: TimedNote, held: Fraction | int | None) -> tuple[str, str] | None:
    """Why nothing can give vibrato here: what is wrong and what to do; None where a finger can, or where it is not
    known."""
    if timed.note.dead:
        return "a dead note has no pitch that vibrato could move", "drop the ~, or write the fret that sounds"
    if held == 0 and timed.note.touch is None:
        message = "an open string has no finger that could give it vibrato"
        return (
            message,
            "write w for the vibrato bar, or name the fret; a neck that is shaken may be permitted",
        )
    return None


def _fault(sign: str, start: Fraction | float, end: Fraction | float, terms: _Terms) -> tuple[str, str] | None:
    """What is wrong with a move from a fret to another, or from a pitch to another."""
    way = _WAYS[sign]
    if (end - start) * way > 0:
        return None
    if end == start:
        message = f"{_NAMES[sign]} goes to {terms.name(float(end))}, {terms.already}"
        return message, f"check both {terms.both}; to strike the note again, write it without the move"
    message = f"{_NAMES[sign]} goes {'up' if way > 0 else 'down'}, but {terms.name(float(end))} lies "
    message += f"{'below' if way > 0 else 'above'} {terms.name(float(start))}"
    return message, f"check both {terms.both}, or write {_OTHER_WAY[sign]}{terms.written(float(end))}"
