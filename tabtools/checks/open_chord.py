"""A chord that is not certain yet.

`Am7?` says that Am7 was heard and may be another chord. Degrees and roles are counted against it meanwhile.

Passes:

    bar 1  Am7
    1-4  3:9

Fails:

    bar 1  Am7?
    1-4  3:9
"""

from collections.abc import Iterator

from tabtools.checks.subject import Finding, Subject
from tabtools.model.solo import Address, Bar, Like
from tabtools.problem import Severity

NAME = "open-chord"
SEVERITY = Severity.NOTE
TOGETHER = "{} chords are not certain"


def check(subject: Subject) -> Iterator[Finding]:
    """Each doubtful chord, on bars written out and on those that repeat others."""
    for item in subject.solo.items:
        if not isinstance(item, Bar | Like):
            continue
        number = item.number if isinstance(item, Bar) else item.first
        for mark in item.chords:
            if mark.doubtful:
                bar = mark.at.bar if mark.at and mark.at.bar is not None else number
                address = Address(bar, mark.at.count if mark.at else None)
                advice = "listen to the bass and the band again, and take the ? away when sure"
                yield Finding(mark.span, f"{mark.symbol} is not certain", advice, address)
