"""A note the transcriber was not sure of.

`3:9?` marks an uncertain note, `3:9?4:14` one that may lie elsewhere. Nothing is wrong with that: it is honest.
The note here keeps such places in sight until someone has listened again. Where the other reading is another
pitch, alternative-pitch says so instead.

Passes:

    bar 1  Am
    1-4  3:9

Fails:

    bar 1  Am
    1-4  3:9?
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import in_a_row, place, written
from tabtools.problem import Severity

NAME = "unsure-reading"
SEVERITY = Severity.NOTE
TOGETHER = "{} notes are uncertain readings"


def check(subject: Subject) -> Iterator[Finding]:
    """Each uncertain note whose pitch is not in question."""
    for timed in subject.written_notes:
        note = timed.note
        if note.unsure and not subject.offers_another_pitch(timed):
            places = [place(*other) for other in note.other_places]
            pitch = f" ({note.heard.name})" if note.heard is not None and not places else ""
            message = f"{written(note)}{pitch} is an uncertain reading"
            if places:
                message += f"; the same pitch lies at {in_a_row(places, 'and')}"
            yield Finding(note.span, message, "listen again, and take the ? away when sure", timed.address)
