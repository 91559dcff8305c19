"""A string that the instrument does not have, or a note in a chord that names none.

Strings are counted from the highest, 1, to the lowest; how many there are follows from the tuning. A note joined
to others with `+` always names its string.

Passes:

    bar 1  Am
    1-2  6:5
    3-4  5:5+4:7 h5:7+h4:9

Fails:

    bar 1  Am
    1-4  7:5
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import fret_text
from tabtools.model.solo import Note
from tabtools.problem import Severity
from tabtools.timeline import TimedNote

NAME = "string-number"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """Each string written, the other readings' included."""
    strings = subject.solo.header.instrument.strings
    is_known = "tuning" not in subject.doubtful_fields
    for timed in subject.written_notes:
        note = timed.note
        if note.string is None:
            if timed.part > 1:
                yield _unnamed(timed)
        elif is_known and not 1 <= note.string <= strings:
            yield _missing(timed, note.string, note, strings)
        if note.other is not None and is_known and not 1 <= note.other.string <= strings:
            yield _missing(timed, note.other.string, None, strings)


def _unnamed(timed: TimedNote) -> Finding:
    message = f"“{timed.via}{fret_text(timed.note.fret or 0)}” is joined to other notes and names no string"
    advice = f"write its string, like {timed.via}3:{fret_text(timed.note.fret or 0)}"
    return Finding(timed.note.span, message, advice, timed.address)


def _missing(timed: TimedNote, string: int, note: Note | None, strings: int) -> Finding:
    advice = f"string 1 is the highest, {strings} the lowest"
    if note is not None and note.fret is not None and 1 <= note.fret <= strings < string:
        advice = f"the string comes first: did you mean {fret_text(note.fret)}:{string}?"
    return Finding(timed.note.span, f"there is no string {string}: the tuning has {strings}", advice, timed.address)
