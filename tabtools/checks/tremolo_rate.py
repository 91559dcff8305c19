"""One place picked again and again, faster than a hand can.

Where the fretting hand rests, the picking hand is a little faster: more than 17 strokes a second on one place get a
warning (assumed), more than 21, the fastest burst that was ever counted, are an error.

Passes:

    bar 1  tempo 240
    1-4  3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7

Fails:

    bar 1  tempo 300
    1-4  3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7 3:7
"""

from collections.abc import Iterator

from tabtools.checks.playing import PlayingFault, findings
from tabtools.checks.subject import Finding, Subject
from tabtools.hand.hand import Hand
from tabtools.problem import Severity

NAME = "tremolo-rate"
SEVERITY = Severity.ERROR

ADVICE = "check the tempo and the count; a tremolo without a count is one note with [trem]"


def check(subject: Subject) -> Iterator[Finding]:
    """Every second and every burst of strokes on one place."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    strokes, (warning, error) = hand.pace.tremolo, hand.profile.tremolo_rate
    for crowd in strokes.too_fast(hand.profile.tremolo_rate):
        message = f"{crowd.last - crowd.first} strokes from here, each place again and again, come at up to"
        limit, found = (error, SEVERITY) if crowd.rate > error else (warning, Severity.WARNING)
        message = f"{message} {crowd.rate:.0f} a second; {limit:g} is taken for the most"
        yield PlayingFault(strokes.notes[crowd.first], message, ADVICE, found)
