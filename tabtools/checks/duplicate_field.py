"""A header field that stands twice.

Only the first is used. Two of them often come from a merge, and then they disagree.

Passes:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4

    bar 1  Am
    1-4  3:7

Fails:

    title: Ferry at Dusk
    title: Ferry at Dawn
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4

    bar 1  Am
    1-4  3:7
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity

NAME = "duplicate-field"
SEVERITY = Severity.ERROR
ALWAYS_ON = True


def check(subject: Subject) -> Iterator[Finding]:
    """Fields the reader met before, unless both sides of a merge are still there."""
    for finding in subject.read_faults(NAME):
        if not subject.is_in_conflict(0, finding.span.start):
            yield finding
