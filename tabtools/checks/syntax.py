"""A line that cannot be read as any line of a solo file.

Every line stands for itself: a header field, `section`, `bar`, `bars … like`, `passage`, a count with its
notes, or a comment. A line that cannot be read is left out, the rest of the file is checked all the same, and
the bar it stands in is not checked for its counts.

Passes:

    bar 1  Am
    1-4  3:7

Fails:

    bar 1  Am
    1-4  37
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity

NAME = "syntax"
SEVERITY = Severity.ERROR
ALWAYS_ON = True


def check(subject: Subject) -> Iterator[Finding]:
    """What the reader could not read."""
    return subject.read_faults(NAME)
