"""A solo without a title.

The title heads the page and names the solo in every index.

Passes:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4

    bar 1  Am
    1-4  3:7

Fails:

    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4

    bar 1  Am
    1-4  3:7
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity

NAME = "title-missing"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """The field `title`, there and not empty."""
    if not subject.solo.header.title and "title" not in subject.doubtful_fields:
        yield Finding(subject.solo.field_span("title"), "the solo has no title", "write title: and its name")
