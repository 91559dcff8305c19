"""A string that the instrument does not have.

Strings are counted from the highest, 1, to the lowest; how many there are follows from the tuning. String and
fret are easily written the wrong way round.

Passes:

    bar 1  Am
    1-2  6:5
    3-4  1:5

Fails:

    bar 1  Am
    1-4  7:5
"""

from collections.abc import Iterator
from fractions import Fraction

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import fret_text
from tabtools.model.instrument import MAX_STRINGS
from tabtools.problem import Severity
from tabtools.timeline import TimedNote
from tabtools.wording import several

NAME = "string-number"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """Each string written, the other readings' included."""
    if "tuning" in subject.doubtful_fields:
        return
    strings = subject.solo.header.instrument.strings
    for timed in subject.written_notes:
        note = timed.note
        if note.string is not None and not 1 <= note.string <= strings:
            yield _finding(timed, note.string, note.fret, strings)
        for other in note.other_places:
            if not 1 <= other.string <= strings:
                yield _finding(timed, other.string, other.fret, strings)


def _finding(timed: TimedNote, string: int, fret: Fraction | int | None, strings: int) -> Finding:
    message = f"there is no string {string}: the tuning has {several(strings, 'string')}"
    advice = f"string 1 is the highest, {strings} the lowest"
    if string > MAX_STRINGS and fret is not None and 1 <= fret <= strings:
        advice = f"the string comes first: did you mean {fret_text(fret)}:{string}?"
    return Finding(timed.note.span, message, advice, timed.address)
