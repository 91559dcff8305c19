"""A solo that names neither player nor recording.

A transcription is a reading of something that was played. Whoever wants to check it needs to know who played and
where it can be heard.

Passes:

    title: Ferry at Dusk
    recording: rehearsal tape, 0:38 to 1:10
    rights: CC-BY-4.0
    meter: 4/4

    bar 1  Am
    1-4  3:7

Fails:

    title: Ferry at Dusk
    rights: CC-BY-4.0
    meter: 4/4

    bar 1  Am
    1-4  3:7
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity

NAME = "source-missing"
SEVERITY = Severity.WARNING


def check(subject: Subject) -> Iterator[Finding]:
    """The fields `player` and `recording`, one of them there."""
    header = subject.solo.header
    if not header.player and not header.recording and not subject.doubtful_fields & {"player", "recording"}:
        span = subject.solo.field_span("player")
        yield Finding(span, "the solo names neither player nor recording", "write player: or recording:")
