"""A header field that the format does not know.

Mostly a slip of the pen: `capos`, `tunning`. What such a field says is kept in the file and used for nothing,
so a mistyped tuning would silently leave the standard one in force. What has no field here goes into a comment.

Passes:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    capo: 2

    bar 1  Am
    1-4  3:7

Fails:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
    capos: 2

    bar 1  Am
    1-4  3:7
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity

NAME = "unknown-field"
SEVERITY = Severity.ERROR
ALWAYS_ON = True


def check(subject: Subject) -> Iterator[Finding]:
    """Fields the reader has no place for."""
    return subject.read_faults(NAME)
