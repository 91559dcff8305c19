"""From one single note to another: few ways of the fingers, wherever the hand is, but for how far it moves.

What it costs to come to a grip is worked out when it is asked for.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from operator import add, sub

from tabtools.hand.grip import Grip, Shape
from tabtools.hand.stance import IMPOSSIBLE_LEVEL, level_weight, slur_strain, strain_weight
from tabtools.hand.ties import Tie
from tabtools.hand.ways import Ways, out_of_place

RESETTLE_COST = 100
"""A fret that the first finger's place moves while another finger stays where it is."""

SLUR_SETTLE_COST = 300
"""The same amid a slur: the hand shifts before it, and stays where it is from finger to finger (common practice)."""

APART_COST, UNLED_APART_COST = 60, 140
"""For each fret that the two fingers of a slur stand apart beyond their own places, and more where neither is the
first: a whole tone is slurred with the first and the third, a minor third with the first and the fourth (common
practice)."""

SLIDE_COST, SLIDE_COST_PER_MM = 20, 0.5

IMPOSSIBLE = level_weight(IMPOSSIBLE_LEVEL)

Fingers = Sequence[Sequence[tuple[int, int]]]
"""By the finger after and the one before: what that costs anywhere, and within a position besides."""


class Columns(ABC):
    """The ways from few grips of one shape to few of another, by the grip after: what it costs from each before."""

    __slots__ = ("_after", "_before", "_columns", "_gains", "_rows")

    def __init__(self, before: Shape, after: Shape):
        self._before = before
        self._after = after
        self._columns: list[list[int] | None] = [None] * len(after.grips)
        self._rows: list[tuple[int, ...]] = []
        self._gains: list[list[int] | None] = []

    @abstractmethod
    def _column(self, number: int) -> list[int]:
        """What it costs to come to a grip from each before, its own cost included."""

    def _nearest(self, grip: Grip) -> int:
        """What it costs at least to come to a grip, its own cost left out."""
        return 0

    def column(self, grip: int) -> list[int]:
        """What it costs to come to a grip from each before, its own cost included."""
        column = self._columns[grip]
        if column is None:
            column = self._columns[grip] = self._column(grip)
        return column

    def reach(self, values: Sequence[int]) -> list[int]:
        """From the best grip so far, and from those that are not so much dearer that they never catch up."""
        rows = self._rows
        if not rows:
            rows = self._rows = list(zip(*map(self.column, range(len(self._columns))), strict=True))
            self._gains = [None] * len(rows)
        least = min(values)
        best = values.index(least)
        reached = [least + cost for cost in rows[best]]
        for value, row, gain in zip(values, rows, self._gains[best] or self._new_gains(best), strict=True):
            if value - least < gain:
                reached = [one if one < value + cost else value + cost for one, cost in zip(reached, row, strict=True)]
        return reached

    def _new_gains(self, best: int) -> list[int]:
        """How much cheaper than from the best each grip's way is, where it is so most."""
        gains = self._gains[best] = [max(map(sub, self._rows[best], row)) for row in self._rows]
        return gains

    def better(self, values: Sequence[int], cost: int, known: list[int]) -> list[int]:
        """The least cost of each grip after by this way and `cost` besides, or as `known` where that is no more."""
        least = min(values) + cost
        better = known
        after = self._after
        for number, (grip, own) in enumerate(zip(after.grips, after.costs, strict=True)):
            value = known[number]
            if least + own >= value:
                continue
            column = self._columns[number]
            if column is None:
                if least + own + self._nearest(grip) >= value:
                    continue
                column = self.column(number)
            reached = min(map(add, values, column)) + cost
            if reached < value:
                if better is known:
                    better = [*known]
                better[number] = reached
        return better


class Steps(Columns):
    """Nothing holds the hand."""

    __slots__ = ("_fingers", "_time", "_ways")

    def __init__(self, before: Shape, after: Shape, fingers: Fingers, time: int, ways: Ways):
        super().__init__(before, after)
        self._fingers = fingers
        self._time = time
        self._ways = ways

    def _nearest(self, grip: Grip) -> int:
        before = self._before
        nearest = min(max(grip.position, before.lowest), before.highest)
        anywhere, _ = min(self._fingers[grip.fingers[0]])
        return anywhere + self._ways.shifts(grip.position, self._time)[nearest]

    def _column(self, number: int) -> list[int]:
        grip, own = self._after.grips[number], self._after.costs[number]
        there = grip.position
        shifts = self._ways.shifts(there, self._time)
        costs = [(own + anywhere, own + anywhere + within) for anywhere, within in self._fingers[grip.fingers[0]]]
        return [
            costs[fingers[0]][1] if position == there else costs[fingers[0]][0] + shifts[position]
            for fingers, position, _, _, _ in self._before.grips
        ]


class Slur(Columns):
    """On one string, slurred or slid: the two fingers tie the hand."""

    __slots__ = ("_frets", "_is_slide", "_ways")

    def __init__(self, before: Shape, after: Shape, tie: Tie, ways: Ways):
        super().__init__(before, after)
        self._frets = before.stops[0].fret, after.stops[0].fret
        self._is_slide = tie == Tie.SLIDE
        self._ways = ways

    def _column(self, number: int) -> list[int]:
        grip, own = self._after.grips[number], self._after.costs[number]
        (following,), there = grip.fingers, grip.position
        of, settle = (slide_cost, RESETTLE_COST) if self._is_slide else (legato_cost, SLUR_SETTLE_COST)
        further = self._frets[1] - self._frets[0] if self._is_slide else 0
        costs: dict[int, int] = {}
        column = []
        for (finger,), position, _, _, _ in self._before.grips:
            if finger not in costs:
                costs[finger] = of(finger, following, self._frets, self._ways)
            column.append(own + min(IMPOSSIBLE, costs[finger] + settle * abs(there - further - position)))
        return column


def legato_cost(finger: int, following: int, frets: tuple[int, int], ways: Ways) -> int:
    """What two fingers of one hand cost on one string, wherever it is: the higher finger on the higher fret."""
    if finger == following or (following > finger) != (frets[1] > frets[0]):
        return IMPOSSIBLE
    apart = abs(frets[1] - frets[0])
    cost = strain_weight(slur_strain(finger, following, ways.neck.gap(*frets), ways.profile))
    cost += ways.spread(finger, following, *frets)
    cost += APART_COST * max(0, apart - abs(following - finger))
    return cost + UNLED_APART_COST * out_of_place(finger, following, apart)


def slide_cost(finger: int, following: int, frets: tuple[int, int], ways: Ways) -> int:
    """What it costs that one finger stays on its string and takes the hand along."""
    if finger != following:
        return IMPOSSIBLE
    return int(SLIDE_COST + SLIDE_COST_PER_MM * ways.neck.gap(*frets))
