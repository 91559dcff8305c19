"""A shift of the hand in less time than it takes.

Between two notes that lie apart the hand travels along the neck. What counts is how far a finger has to go beyond
where it can be while the note before still sounds. The time is worked out by Fitts' law from that way and half the
width of the fret it goes to: a leap along half the neck takes about 0.2 seconds. Its constants are set so that what
the trade calls ordinary passes; a warning means that there is less time than that, an error less than half.

Passes:

    bar 1  Am
    1-4  3:5 3:7 3:9 2:8

Fails:

    bar 1  tempo 160
    1-4  6:1 6:2 6:1 6:2 6:1 6:2 6:1 6:2 6:1 6:2 6:1 6:2 6:19 6:20 6:19 6:20
"""

from collections.abc import Iterator

from tabtools.checks.playing import PlayingFault, findings, severity
from tabtools.checks.subject import Finding, Subject
from tabtools.hand.grasp import Grasp
from tabtools.hand.hand import Hand, Shift
from tabtools.hand.places import line_in_position, spoken
from tabtools.hand.position import roman
from tabtools.hand.profile import SHIFT_LIMIT
from tabtools.problem import Severity

NAME = "shift-time"
SEVERITY = Severity.ERROR

NOTES_LOOKED_AT = 4
ADVICE = "check the frets, the string and the tempo"


def check(subject: Subject) -> Iterator[Finding]:
    """Every change of position against the time there is."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    for number, shift in enumerate(hand.shifts):
        if shift.needed <= shift.seconds:
            continue
        found = severity(SHIFT_LIMIT.strain(shift.needed / max(shift.seconds, 1e-3)))
        if found is None:
            continue
        following = hand.shifts[number + 1].after if number + 1 < len(hand.shifts) else None
        message = (
            f"from position {roman(shift.from_position)} to {roman(shift.to_position)} the hand has "
            f"{1000 * shift.seconds:.0f} ms for {shift.mm:.0f} mm; it takes about {1000 * shift.needed:.0f} ms"
        )
        yield PlayingFault(shift.after.struck.note, message, _stay(hand, shift, following), found)


def _stay(hand: Hand, shift: Shift, following: Grasp | None) -> str:
    """The notes after the shift, at places that need none."""
    notes = []
    start = hand.numbers[id(shift.after)]
    for grasp in hand.grasps[start : start + NOTES_LOOKED_AT]:
        if grasp is following:
            break
        if len(grasp.presses) > 1 or grasp.ties:
            return ADVICE
        notes.append((grasp.presses[0].string, grasp.presses[0].fret))
    for position in (shift.from_position, shift.from_position + 1, max(1, shift.from_position - 1)):
        placed = line_in_position(notes, position, hand.timeline.solo.header.instrument, hand.neck)
        if placed and placed != tuple(notes):
            count = f"{len(notes)} notes from here lie" if len(notes) > 1 else "note lies"
            return f"the same {count} at {spoken(placed)}, without the shift"
    return ADVICE
