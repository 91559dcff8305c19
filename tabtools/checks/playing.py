"""How the checks of what hands can do speak of a moment and of another place for the same notes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from tabtools.checks.subject import Finding, Subject
from tabtools.checks.wording import in_a_row
from tabtools.hand.places import Elsewhere, spoken
from tabtools.problem import Severity
from tabtools.wording import several

MOST_PROPOSALS = 20
"""Other places are looked for this often in a solo; finding them takes longer than finding that there is need."""


class PlayingFault(NamedTuple):
    """What is wrong at a note, by its index in the timeline."""

    note: int
    message: str
    advice: str
    severity: Severity


def findings(subject: Subject, moments: Iterable[PlayingFault]) -> Iterator[Finding]:
    """Each written note once, however often `like` repeats it; bars that could not be read in full are left out."""
    seen = set()
    for moment in moments:
        timed = subject.timeline.notes[moment.note]
        span, address = timed.note.span, timed.address
        if span not in seen and address.bar not in subject.unclear_bars:
            seen.add(span)
            yield Finding(span, moment.message, moment.advice, address, moment.severity)


def severity(strain: float) -> Severity | None:
    """What a strain amounts to: nothing up to 0.5, a warning up to 1, an error above."""
    if strain <= 0.5:
        return None
    return Severity.WARNING if strain <= 1 else Severity.ERROR


def proposal(elsewhere: Elsewhere | None, otherwise: str) -> str:
    """The same notes at another place, in words."""
    if elsewhere is None:
        return otherwise
    count = len(elsewhere.spots)
    notes = "the same note lies" if count == 1 else f"the same {several(count, 'note')} lie"
    reach = f", reach {elsewhere.reach_mm:.0f} mm" if elsewhere.reach_mm else ""
    return f"{notes} at {spoken(elsewhere.spots)}{reach}"


def all_of(spots: Iterable[tuple[int, int]]) -> str:
    """Places as a sentence lists them: `6:1, 5:2 and 4:3`."""
    return in_a_row([f"{string}:{fret}" for string, fret in spots], "and")
