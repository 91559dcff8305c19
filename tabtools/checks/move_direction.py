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

from collections.abc import Iterator
from fractions import Fraction

from tabtools.checks.heard_moves import heard_moves, wrong_way
from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import fret_text
from tabtools.problem import Severity
from tabtools.timeline import TimedNote

NAME = "move-direction"
SEVERITY = Severity.ERROR

_WAYS = {"h": 1, "p": -1, "/": 1, "\\": -1}
_NAMES = {"h": "a hammer-on", "p": "a pull-off", "/": "this slide", "\\": "this slide"}
_OTHER_WAY = {"h": "p", "p": "h", "/": "\\", "\\": "/"}


def check(subject: Subject) -> Iterator[Finding]:
    """Moves between slots, then those within."""
    every = subject.timeline.notes
    for timed in subject.written_notes:
        if timed.via in _WAYS and timed.origin is not None and timed.note.fret is not None:
            origin = every[timed.origin]
            if origin.held is not None and not _is_open_harmonic(origin):
                for finding in _judged(timed, timed.via, origin.held, timed.note.fret):
                    if not subject.is_context_lost(timed.address, timed.note.span):
                        yield finding
        if timed.motions:
            yield from _within(timed)
        for move in heard_moves(timed, every):
            fault = wrong_way(move)
            if fault is not None and not subject.is_context_lost(timed.address, timed.note.span):
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
                yield from _judged(timed, motion.sign, held, motion.fret)
            held = motion.fret
        elif held == 0:
            message = "an open string has no finger that could slide"
            yield Finding(timed.note.span, message, "drop the slide, or name the fret it starts from", timed.address)


def _judged(timed: TimedNote, sign: str, start: Fraction | int, end: Fraction | int) -> Iterator[Finding]:
    way = _WAYS[sign]
    if (end - start) * way > 0:
        return
    span = timed.note.span
    if end == start:
        message = f"{_NAMES[sign]} goes to fret {fret_text(end)}, where the finger is already"
        advice = "check both frets; to strike the note again, write it without the move"
    else:
        message = f"{_NAMES[sign]} goes {'up' if way > 0 else 'down'}, but fret {fret_text(end)} lies "
        message += f"{'below' if way > 0 else 'above'} fret {fret_text(start)}"
        advice = f"check both frets, or write {_OTHER_WAY[sign]}{fret_text(end)}"
    yield Finding(span, message, advice, timed.address)
