"""Two notes at once on one string.

A string sounds one note at a time. In a stroke of several notes each stands on a string of its own.

Passes:

    bar 1  Am
    1-4  2:5+1:5

Fails:

    bar 1  Am
    1-4  2:5+2:8
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import written
from tabtools.problem import Severity

NAME = "two-notes-one-string"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """Each note of a stroke against those written before it in the same stroke."""
    notes = subject.written_notes
    for position, timed in enumerate(notes):
        if timed.part == 1 or timed.note.string is None:
            continue
        for other in notes[position - timed.part + 1 : position]:
            if other.string == timed.string:
                message = f"{written(other.note)} and {written(timed.note)} are on one string"
                advice = "move one of them to another string, or put a space between them to play one after the other"
                yield Finding(timed.note.span, message, advice, timed.address)
                break
