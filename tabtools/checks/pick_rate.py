"""More strokes of the picking hand than a hand can strike.

Counted over every second of the solo, and over bursts of at least seven strokes. More than 14 a second is beyond
strong playing and gets a warning; more than 21, the fastest burst that was ever counted, is an error. A sweep over
neighbouring strings counts as two strokes, a rake as one, and what stays on one place is left to `tremolo-rate`.

Passes:

    bar 1  tempo 180
    1-4  3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7

Fails:

    bar 1  tempo 240
    1-4  3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7 3:5 3:7
"""

from collections.abc import Iterator

from tabtools.checks.playing import PlayingFault, findings
from tabtools.checks.subject import Finding, Subject
from tabtools.hand.hand import Hand
from tabtools.problem import Severity

NAME = "pick-rate"
SEVERITY = Severity.ERROR

ADVICE = "check the tempo and the count; notes that are slurred are written with h, p or a slide"


def check(subject: Subject) -> Iterator[Finding]:
    """Every second and every burst."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    strokes, (warning, error) = hand.pace.changing, hand.profile.pick_rate
    for crowd in strokes.too_fast(hand.profile.pick_rate):
        message = f"{crowd.last - crowd.first} picked strokes from here come at up to {crowd.rate:.0f} a second"
        if crowd.rate > error:
            message, found = f"{message}; the fastest ever counted are {error:g}", SEVERITY
        else:
            message, found = f"{message}; beyond {warning:g} is rare", Severity.WARNING
        yield PlayingFault(strokes.notes[crowd.first], message, ADVICE, found)
