"""A leap of the pick over strings in less time than it takes.

From string to string the pick travels too. The next string is there at once; over three strings it takes about
70 ms, over five about 90 (by Fitts' law, with constants that are assumed). With less time there is a warning, with
less than half of it an error. Where fingers pluck (`[rh i]`), each has its own string, and nothing is said.

Passes:

    bar 1  tempo 120
    1-4  6:5 2:5 6:5 2:5 6:5 2:5 6:5 2:5 6:5 2:5 6:5 2:5 6:5 2:5 6:5 2:5

Fails:

    bar 1  tempo 200
    1-4  6:5 1:5 6:5 1:5 6:5 1:5 6:5 1:5 6:5 1:5 6:5 1:5 6:5 1:5 6:5 1:5
"""

from collections.abc import Iterator

from tabtools.checks.playing import PlayingFault, findings
from tabtools.checks.subject import Finding, Subject
from tabtools.hand.hand import Hand
from tabtools.hand.pace import JUST, Crossing
from tabtools.problem import Severity
from tabtools.wording import several

NAME = "string-crossing"
SEVERITY = Severity.ERROR

ADVICE = "check the strings; where a finger plucks, mark it, like [rh a]"


def check(subject: Subject) -> Iterator[Finding]:
    """Every leap over at least one string."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    for leaps in _in_a_row(hand):
        needed, worst = max(
            ((hand.profile.crossing_seconds(leap.strings), leap) for leap in leaps),
            key=lambda entry: entry[0] / max(JUST, entry[1].seconds),
        )
        found = SEVERITY if worst.seconds < needed / 2 else Severity.WARNING
        message = (
            f"the pick has {1000 * worst.seconds:.0f} ms to get {several(worst.strings, 'string')} on; "
            f"it takes about {1000 * needed:.0f} ms"
        )
        if len(leaps) > 1:
            message += f" (the worst of {len(leaps)} such leaps in a row)"
        yield PlayingFault(worst.after, message, ADVICE, found)


def _in_a_row(hand: Hand) -> Iterator[list[Crossing]]:
    """The leaps that are too fast, those together that follow each other."""
    row: list[Crossing] = []
    longest = hand.profile.crossing_seconds(hand.neck.strings - 1)
    for leap in hand.pace.crossings(longest):
        if leap.seconds < hand.profile.crossing_seconds(leap.strings) - JUST:
            if row and row[-1].after != leap.before:
                yield row
                row = []
            row.append(leap)
    if row:
        yield row
