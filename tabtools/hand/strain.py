"""The strain of each bar: how near it comes to what hands can do, for a strip over the bars of a page."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

from tabtools.hand.demands import grip_reach, slur_reach
from tabtools.hand.hand import Hand
from tabtools.hand.pace import JUST
from tabtools.hand.profile import SHIFT_LIMIT

HARD = 0.5
"""From half of what hands can do on a bar is hard."""
KINDS = {
    "reach": "wide reach",
    "shift": "quick shift",
    "bend": "stiff bend",
    "picking": "fast picking",
    "legato": "fast legato",
}
"""What strains, in words."""


@dataclass(frozen=True, slots=True)
class BarStrain:
    """A bar by its number, its strain from 0 to 1 (the error limit), and what comes nearest to its limit.

    `what` is `reach`, `shift`, `bend`, `picking`, `legato`, or empty where nothing is played. `doubtful` says that it
    rests on a note that is not certain.
    """

    bar: int
    strain: float
    what: str
    doubtful: bool = False

    @property
    def kind(self) -> str:
        """`quick shift`, `wide reach (uncertain)`."""
        return KINDS.get(self.what, "") + " (uncertain)" * self.doubtful


def strains_of(hand: Hand) -> tuple[BarStrain, ...]:
    """The strain of every bar of the timeline, in order. A rate counts in the bar where its second begins."""
    bars = hand.timeline.bars
    worst = [(0.0, "", False)] * len(bars)
    starts = [bar.start for bar in bars]
    for note, strain, what, doubtful in _strains(hand):
        number = max(0, bisect_right(starts, hand.timeline.notes[note].start + JUST) - 1)
        worst[number] = max(worst[number], (min(1.0, strain), what, doubtful))
    return tuple(BarStrain(bar.number, *one) for bar, one in zip(bars, worst, strict=True))


def _strains(hand: Hand) -> Iterator[tuple[int, float, str, bool]]:
    """(index of the note, share of the limit, what, whether it rests on something that is not certain)."""
    profile, pace = hand.profile, hand.pace
    for grasp, before in hand.composed:
        for found in (grip_reach(hand, grasp), slur_reach(hand, grasp, before)):
            if found is not None:
                yield grasp.struck.note, found.mm / profile.reach[found.fingers].error, "reach", found.doubtful
    for shift in hand.shifts:
        doubtful = hand.is_doubtful(shift.before, shift.after)
        yield shift.after.struck.note, shift.needed / max(shift.seconds, JUST) / SHIFT_LIMIT.error, "shift", doubtful
    for bent in hand.bends:
        doubtful = hand.timeline.notes[bent.note].note.unsure
        yield bent.note, bent.bend.force / bent.limit(profile).error, "bend", doubtful
    for note, rate in pace.picked.rates():
        yield note, rate / profile.pick_rate[1], "picking", False
    if pace.slurs:
        for note, rate in pace.all.rates():
            yield note, rate / profile.legato_rate[1], "legato", False
