"""A bend that would push the string off the edge of the neck.

The string travels sideways at the fret, and a slack or short string travels far. Which way it goes is the player's
choice; what counts is the roomier side, from the string to the edge of the neck.

Passes:

    bar 1  Am
    1-4  3:12b14

Fails:

    tuning: D3 G3 B3 E4
    title: A
    player: B
    recording: C
    rights: CC0-1.0
    meter: 4/4

    bar 1  Am
    1-4  2:12b16
"""

from collections.abc import Iterator

from tabtools.checks.playing import PlayingFault, findings
from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import place
from tabtools.hand.hand import Hand
from tabtools.problem import Severity

NAME = "bend-room"
SEVERITY = Severity.ERROR

ADVICE = "check string, fret and interval, and the tuning and the gauges of the header"


def check(subject: Subject) -> Iterator[Finding]:
    """Every bend against the width of the neck."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    for bent in hand.bends:
        travel = bent.bend.travel_mm
        if bent.room_mm < travel < hand.neck.scale_mm:
            message = (
                f"bent to such a height the string at {place(bent.string, bent.fret)} goes {travel:.0f} mm aside; "
                f"the neck ends after {bent.room_mm:.0f} mm"
            )
            yield PlayingFault(bent.note, message, ADVICE, SEVERITY)
