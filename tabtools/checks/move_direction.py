"""A move that goes the wrong way, or nowhere.

A hammer-on goes up, a pull-off down; `/` slides up and `\\` down. A move that arrives where the finger already is
moves nothing. And an open string has no finger that could slide off into nowhere.

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
                if fault and not subject.is_context_lost(timed.address, timed.note.span):
                    yield Finding(timed.note.span, *fault, timed.address)
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
        if motion.sign not in _WAYS and motion.sign != "t":
            continue
        if motion.arrives:
            if held is not None and motion.fret is not None and motion.pitch is None and motion.sign in _WAYS:
                fault = _fault(motion.sign, held, motion.fret, _FRETS)
                if fault:
                    yield Finding(timed.note.span, *fault, timed.address)
            held = motion.fret
        elif held == 0:
            message = "an open string has no finger that could slide"
            yield Finding(timed.note.span, message, "drop the slide, or name the fret it starts from", timed.address)


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
