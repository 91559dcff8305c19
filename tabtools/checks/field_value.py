"""A value, in the header or on a bar line, that cannot be read or cannot be.

A meter, tempo, key, capo and the like have a form of their own. A value that does not fit is not used: the
default stands in for it, and checks that build on the value hold back until it is mended.

Passes:

    bar 1  Am  meter 7/8
    1-7  3:7

Fails:

    bar 1  Am  meter 7/9
    1-7  3:7
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Severity

NAME = "field-value"
SEVERITY = Severity.ERROR
ALWAYS_ON = True


def check(subject: Subject) -> Iterator[Finding]:
    """Values the reader could not use."""
    return subject.read_faults(NAME)
