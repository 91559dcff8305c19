"""A bend that takes more force than fingers have, or more than the string bears.

The force in newtons is worked out from the gauge, the tuning, the scale length, the fret and the interval: the whole
string from nut to bridge is stretched. A whole step is everyday, two steps are the edge, and near the nut every
bend is stiff. A finger that others can help is given 20 N before a warning and 40 N before an error, one that is
alone 14 and 28 (assumed). What would break the string is an error too. The `gauges` of the header count.

Passes:

    bar 1  Am
    1-4  3:7b9 r7 p5 -

Fails:

    bar 1  Am
    1-4  1:1b5
"""

from collections.abc import Iterator

from tabtools.checks.playing import PlayingFault, findings, severity
from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import place
from tabtools.hand.bends import Bent
from tabtools.hand.hand import Hand
from tabtools.problem import Severity
from tabtools.wording import several

NAME = "bend-force"
SEVERITY = Severity.ERROR

WIDEST = 4
"""Semitones; two whole steps are the edge (common practice)."""

ADVICE = "check the fret the bend starts from and the one it reaches"


def check(subject: Subject) -> Iterator[Finding]:
    """Every bend against fingers and string."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    for bent in hand.bends:
        bend, limit = bent.bend, bent.limit(hand.profile)
        found = severity(limit.strain(bend.force))
        if bend.stress >= 1:
            message = f"{_bend(bent)} pulls the string harder than steel bears; it would break"
            yield PlayingFault(bent.note, message, ADVICE, SEVERITY)
        elif found is not None:
            give = "fingers together give" if bent.helpers else "a finger alone gives"
            most = (
                f"at most {limit.error:.0f} N" if found is SEVERITY else f"more than {limit.warning:.0f} N with strain"
            )
            message = f"{_bend(bent)} takes {bend.force:.0f} N; {give} {most}"
            yield PlayingFault(bent.note, message, ADVICE, found)
        elif bent.semitones > WIDEST:
            message = f"{_bend(bent)} goes beyond two whole steps, the edge of what is played"
            yield PlayingFault(bent.note, message, ADVICE, Severity.WARNING)


def _bend(bent: Bent) -> str:
    return f"bending {place(bent.string, bent.fret)} up by {several(bent.semitones, 'semitone')}"
