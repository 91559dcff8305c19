"""A tap below the fretting hand.

The tapping hand sounds a string beyond the fingers of the other. A tap at or below a fret that the fretting hand
holds at that moment is an error: on that string it would not even sound. Where the fretting hand has only just left
such a place there is a warning.

Passes:

    bar 1  Am
    1-4  2:5 t12 p5 t12

Fails:

    bar 1  Am
    1-4  2:12[ring] 3:12[ring] t3:7 -
"""

from collections.abc import Iterator

from tabtools.checks.playing import PlayingFault, findings
from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import place
from tabtools.hand.hand import Hand
from tabtools.hand.taps import taps_of
from tabtools.problem import Severity

NAME = "tap-crossing"
SEVERITY = Severity.ERROR

ADVICE = "check the fret of the tap; a note of the fretting hand from nowhere is written h, like h2:7"


def check(subject: Subject) -> Iterator[Finding]:
    """Every tap against what the fretting hand holds."""
    return findings(subject, _moments(subject.hand))


def _moments(hand: Hand) -> Iterator[PlayingFault]:
    for tap in taps_of(hand.timeline.notes, hand.grasps, hand.pressed):
        over = tap.over
        if over is not None and tap.fret <= over.fret:
            holds = "holds" if tap.held else "has only just left"
            tapped = "at" if tap.fret == over.fret else "below"
            message = (
                f"the tap at {tap.string}:{tap.fret:g} is {tapped} {place(over.string, over.fret)}, which the "
                f"fretting hand {holds}"
            )
            yield PlayingFault(tap.note, message, ADVICE, SEVERITY if tap.held else Severity.WARNING)
