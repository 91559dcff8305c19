"""A move that comes from nothing.

A pull-off, a bend, a release or a move of the vibrato bar needs a string that sounds, and a slot without a string
needs a stroke before it that says which. Strings stop sounding at a rest, and at the next stroke unless they are
marked `[ring]`. A hammer-on, a tap and a slide up may come from nowhere. A slide down from nothing gets a
warning only: some players come from above.

Passes:

    bar 1  Am
    1-2  3:7 p5 . h7
    3-4  . /3:9

Fails:

    bar 1  Am
    1-2  3:7 . p5
    3-4  .
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import written
from tabtools.problem import Severity
from tabtools.source import Span
from tabtools.timeline import TimedNote

NAME = "move-origin"
SEVERITY = Severity.ERROR

_NEEDY = {
    "p": "there is no sounding note to pull off from",
    "b": "there is no sounding note to bend",
    "r": "there is no bent note to release",
    "w": "there is no sounding note for the vibrato bar to move",
    "\\": "there is no sounding note to slide down from",
}


def check(subject: Subject) -> Iterator[Finding]:
    """Moves without an origin; those that only `like` repeats cut off, on the `like` line."""
    seen: set[Span] = set()
    for timed in subject.timeline.notes:
        if not timed.via or timed.origin is not None or timed.note.span in seen:
            continue
        is_stringless = timed.note.string is None and timed.string == 0
        if is_stringless or timed.via in _NEEDY:
            seen.add(timed.note.span)
            if not subject.is_context_lost(timed.address, timed.note.span):
                yield _finding(subject, timed, is_stringless)


def _finding(subject: Subject, timed: TimedNote, is_stringless: bool) -> Finding:
    severity = Severity.WARNING if timed.via == "\\" and not is_stringless else None
    if is_stringless:
        message = f"“{written(timed.note)}” names no string, and there is no stroke before it"
        advice = f"write its string, like {timed.via}3:{written(timed.note)[1:]}"
    else:
        message = _NEEDY[timed.via]
        advice = f"sound string {timed.string} first, and mark it [ring] where other notes come between"
        if severity:
            advice = "name the note it comes from; where he slides in from above, permit it with a reason"
    like = subject.repeat_at(timed.address)
    if like is None:
        return Finding(timed.note.span, message, advice, timed.address, severity)
    message = f"in bar {timed.address.bar}, repeated here: {message}"
    return Finding(like.span, message, "write the bar out", timed.address, severity)
