"""More slurred and tapped notes than two hands can sound.

Counted over every second of the solo in which at least a quarter of the notes are hammered on, pulled off, slid or
tapped, and over bursts of at least seven notes. More than 16 a second gets a warning, more than 24 is an error. No
measurement of legato or tapping was found: both limits are assumed.

Passes:

    bar 1  tempo 200
    1-4  3:5 h7 p5 h7 p5 h7 p5 h7 p5 h7 p5 h7 p5 h7 p5 h7

Fails:

    bar 1  tempo 300
    1-4  3:5 h7 p5 h7 p5 h7 p5 h7 p5 h7 p5 h7 p5 h7 p5 h7 p5 h7 p5 h7
"""

from collections.abc import Iterator

from tabtools.checks.playing import PlayingFault, findings
from tabtools.checks.subject import Finding, Subject
from tabtools.hand.hand import Hand
from tabtools.problem import Severity
from tabtools.wording import several

NAME = "legato-rate"
SEVERITY = Severity.ERROR

SHARE = 0.25
ADVICE = "check the tempo and the count"


def check(subject: Subject) -> Iterator[Finding]:
    """Every second and every burst."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    pace, (warning, error) = hand.pace, hand.profile.legato_rate
    if not pace.slurs:
        return
    picked = set(pace.picked.times)
    for crowd in pace.all.too_fast(hand.profile.legato_rate):
        times = pace.all.times[crowd.first : crowd.last]
        slurred = sum(time not in picked for time in times)
        if slurred < SHARE * len(times):
            continue
        message = f"{several(len(times), 'note')} from here, {slurred} of them slurred or tapped,"
        message += f" come at up to {crowd.rate:.0f} a second"
        limit, found = (error, SEVERITY) if crowd.rate > error else (warning, Severity.WARNING)
        yield PlayingFault(pace.all.notes[crowd.first], f"{message}; {limit:g} is taken for the most", ADVICE, found)
