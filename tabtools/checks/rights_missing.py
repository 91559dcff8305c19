"""A solo that does not say by what right it is published.

A transcription of someone else's music is usually a protected work of theirs, and what may be published differs
between countries: the law where you publish decides, and this tool does not know it. The field `rights` says what
you rely on: an identifier of the SPDX licence list (`CC-BY-4.0`, `CC0-1.0`), the words `public domain`, or whose
permission, from when.

Passes:

    title: Ferry at Dusk
    player: the Slipway Trio
    rights: permission of the publisher, 2026-03-01
    meter: 4/4

    bar 1  Am
    1-4  3:7

Fails:

    title: Ferry at Dusk
    player: the Slipway Trio
    meter: 4/4

    bar 1  Am
    1-4  3:7
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity

NAME = "rights-missing"
SEVERITY = Severity.ERROR

_NO_ANSWER = frozenset(("?", "-", "none", "unknown", "todo", "tbd", "n/a", "unclear"))
_ADVICE = (
    "write rights: with an SPDX licence identifier (CC-BY-4.0), public domain, or whose permission from when; "
    "what you may publish depends on the law where you are"
)


def check(subject: Subject) -> Iterator[Finding]:
    """The field `rights`, there and saying something."""
    rights = subject.solo.header.rights
    if not rights and "rights" not in subject.doubtful_fields:
        yield Finding(subject.solo.field_span("rights"), "the solo does not say by what right it is published", _ADVICE)
    elif rights.lower().strip(".! ") in _NO_ANSWER:
        yield Finding(subject.solo.field_span("rights"), f"“{rights}” says nothing about the rights", _ADVICE)
