"""Counts within which the rhythm is not known yet.

`1-2?  3:5 h7 3:4` says that three notes are played within two counts, in this order, and that it is not known when.
They are drawn without stems and played evenly, and nothing is said of their rhythm.

Passes:

    bar 1  Am
    1-2  3:5 - h7 3:4
    3-4  .

Fails:

    bar 1  Am
    1-2? 3:5 h7 3:4
    3-4  .
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.model.solo import Address
from tabtools.problem import Severity

NAME = "open-rhythm"
SEVERITY = Severity.NOTE
TOGETHER = "{} rhythms are not known yet"


def check(subject: Subject) -> Iterator[Finding]:
    """Each doubtful count, where it is written."""
    for bar in subject.timeline.bars:
        if bar.like is not None:
            continue
        for line in bar.written.lines:
            if line.doubtful:
                counts = f"count {line.first}" if line.first == line.last else f"counts {line.first} to {line.last}"
                advice = "listen again, and take the ? away when the slots are right"
                address = Address(bar.number, line.first)
                yield Finding(line.span, f"the rhythm within {counts} is not known yet", advice, address)
