"""Choices that the search need not look at: those that are a long way off, whatever the fingers do.

A coarse search over places alone, in which the hand is anywhere from where its first to where its fourth finger
stands: what it costs to come to a choice and to go on from it, more than by the best way, is the detour of the choice.
Fingers differ by less than `MOST_DETOUR` as a rule, so that a choice with a longer one is not the best. Where hard
moves are left or a note gets no place, nothing is taken for granted: all choices are looked at then.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from operator import add
from typing import NamedTuple

from tabtools.hand.moves import Moves
from tabtools.hand.ways import Ways, time_class
from tabtools.placing.choices import Choice
from tabtools.placing.strokes import Option, WantedStroke
from tabtools.placing.taste import Taste

MOST_DETOUR = 400
HAND_FRETS = 4


class _Standing(NamedTuple):
    """A place, the lowest and the highest position that the hand can take it in: both 0 where it takes no finger."""

    first: Option
    lowest: int
    highest: int


def narrowed(
    strokes: Sequence[WantedStroke], choices: Sequence[list[Choice]], moves: Moves, taste: Taste
) -> list[list[Choice]]:
    """The choices of each stroke without those that are a long way off; one at least of each stroke that has any."""
    between = _Between(moves.ways, taste)
    spots = [[between.number(choice) for choice in some] for some in choices]
    costs = [
        between.costs((strokes[number - 1], strokes[number]), spots[number - 1], spots[number])
        for number in range(1, len(strokes))
    ]
    own = [[float(choice.cost) for choice in some] for some in choices]
    coming = _ways(own, costs)
    going = _ways(own[::-1], [list(zip(*table, strict=True)) for table in costs[::-1]])[::-1]
    kept = []
    for some, come, go, cost in zip(choices, coming, going, own, strict=True):
        if len(some) < 2:
            kept.append(some)
            continue
        whole = [one + other - mine for one, other, mine in zip(come, go, cost, strict=True)]
        most = min(whole) + MOST_DETOUR
        kept.append([choice for choice, value in zip(some, whole, strict=True) if value <= most])
    return kept


def _ways(own: Sequence[list[float]], costs: Sequence[Sequence[Sequence[float]]]) -> list[list[float]]:
    """The least cost up to each choice; `costs` has for each stroke after the first, by its choices, that from each."""
    ways = [own[0]] if own else []
    for mine, table in zip(own[1:], costs, strict=True):
        before = ways[-1]
        if not before:
            ways.append(mine)
            continue
        ways.append([cost + min(map(add, before, row)) for cost, row in zip(mine, table, strict=True)])
    return ways


class _Between:
    """What it costs at least to go from place to place, each way worked out once; places are told by numbers."""

    def __init__(self, ways: Ways, taste: Taste):
        self.ways = ways
        self.taste = taste
        self.numbers: dict[_Standing, int] = {}
        self.standings: list[_Standing] = []
        self.known: dict[int, int] = {}

    def number(self, choice: Choice) -> int:
        """The number of the place that the first note of a choice has."""
        spot = _Standing(choice.options[0], *_positions(choice))
        number = self.numbers.setdefault(spot, len(self.standings))
        if number == len(self.standings):
            self.standings.append(spot)
        return number

    def costs(
        self, strokes: tuple[WantedStroke, WantedStroke], ones: Sequence[int], others: Sequence[int]
    ) -> list[list[float]]:
        """For each place of a stroke, what it costs to come to it from each of the stroke before."""
        before, stroke = strokes
        time = time_class(stroke.start - before.start)
        note = stroke.voices[0].timed.note
        known, shifts = self.known, self.ways.shifts
        here = [(one, *self.standings[one][1:]) for one in ones]
        table = []
        for other in others:
            low, high = self.standings[other][1:]
            to_low, to_high = (shifts(low, time), shifts(high, time)) if low else ((), ())
            row: list[float] = []
            for one, lowest, highest in here:
                code = (other << 32) + one
                cost = known[code] if code in known else self._cost(one, other)
                if low and lowest:
                    if highest < low:
                        cost += to_low[highest]
                    elif high < lowest:
                        cost += to_high[lowest]
                row.append(cost)
            table.append(row)
        if note.via and note.string is None:
            self._break(table, ones, others)
        return table

    def _break(self, table: list[list[float]], ones: Sequence[int], others: Sequence[int]) -> None:
        """A slur does not go from string to string."""
        for row, other in zip(table, others, strict=True):
            string = self.standings[other].first.string
            for index, one in enumerate(ones):
                if self.standings[one].first.string not in (0, string) and string:
                    row[index] = inf

    def _cost(self, one: int, other: int) -> int:
        cost = self.taste.between(self.standings[one].first, self.standings[other].first)
        self.known[(other << 32) + one] = cost
        return cost


def _positions(choice: Choice) -> tuple[int, int]:
    frets = [down.fret for down in choice.steps[0].downs] if choice.steps else ()
    if not frets:
        return 0, 0
    lowest = max(1, max(frets) - HAND_FRETS)
    return lowest, max(lowest, min(frets))
