"""A solo without a bar.

A header alone is a plan, not a transcription.

Passes:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4

    bar 1  Am
    1-4  3:7

Fails:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: CC-BY-4.0
    meter: 4/4
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity
from tabtools.source import Span

NAME = "music-missing"
SEVERITY = Severity.ERROR


def check(subject: Subject) -> Iterator[Finding]:
    """At least one bar, readable or not."""
    if not subject.timeline.bars and not subject.unreadable:
        end = len(subject.source.text)
        yield Finding(Span(max(0, end - 1), end), "the solo has no bars", "write bar 1, its chord, and its beats below")
