"""Choices that the search need not look at: those that are a long way off, whatever the fingers do.

A coarse search over places alone, in which the hand is anywhere from where its first to where its fourth finger
stands: what it costs to come to a choice and to go on from it, more than by the best way, is the detour of the choice.
Fingers differ by less than `MOST_DETOUR` as a rule, so that a choice with a longer one is not the best: of the demo
solos and of made-up melodies nothing better is left out. Where hard moves are left or a note gets no place, nothing is
taken for granted: all choices are looked at then.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from operator import add
from typing import NamedTuple

from tabtools.hand.changes import APART_COST
from tabtools.hand.grasp import TIE_OF
from tabtools.hand.grip import BEND_FINGER_COST
from tabtools.hand.moves import Moves
from tabtools.hand.stance import THUMB, slur_strain, strain_weight
from tabtools.hand.ties import Tie
from tabtools.hand.ways import Ways, time_class
from tabtools.model.solo import Fret
from tabtools.placing.choices import Choice
from tabtools.placing.strokes import Option, WantedStroke
from tabtools.placing.taste import Taste
from tabtools.placing.wish import HAND_FRETS

MOST_DETOUR = 500
WIDEST_FINGERS = 1, 4
LEAST_BEND_COST = min(BEND_FINGER_COST[1 : THUMB + 1])


class _HandAt(NamedTuple):
    """Places by their number, the lowest and the highest position that the hand can take it in: both 0 where it takes
    no finger."""

    place: int
    lowest: int
    highest: int


def narrowed(
    strokes: Sequence[WantedStroke], choices: Sequence[list[Choice]], moves: Moves, taste: Taste
) -> list[list[Choice]]:
    """The choices of each stroke without those that are a long way off; one at least of each stroke that has any."""
    between = _Between(moves.ways, taste)
    standings = [between.standings(some) for some in choices]
    tables = [
        between.table((strokes[number - 1], strokes[number]), standings[number - 1], standings[number])
        for number in range(1, len(strokes))
    ]
    own = [[_own(choice) for choice in some] for some in choices]
    coming = _ways(own, [table.coming for table in tables])
    going = _ways(own[::-1], [table.going for table in reversed(tables)])[::-1]
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


class _Table(NamedTuple):
    """What it costs at least to go from each place of a stroke to each of the next: rows for those, rows for these."""

    coming: Sequence[Sequence[float]]
    going: Sequence[Sequence[float]]


class _Between:
    """What it costs at least to go from place to place, each way worked out once; places are told by numbers."""

    def __init__(self, ways: Ways, taste: Taste):
        self.ways = ways
        self.taste = taste
        self.places: list[tuple[Option, ...]] = []
        self._numbers: dict[tuple[tuple[int, Fret | None], ...], int] = {}
        self._costs: dict[int, int] = {}
        self._tables: dict[tuple[int, str, Sequence[_HandAt], Sequence[_HandAt]], _Table] = {}

    def standings(self, choices: Sequence[Choice]) -> tuple[_HandAt, ...]:
        """Where the hand stands by these choices."""
        standings = []
        for choice in choices:
            place = tuple([option[:2] for option in choice.options])
            number = self._numbers.get(place)
            if number is None:
                number = self._numbers[place] = len(self.places)
                self.places.append(choice.options)
            standings.append(_HandAt(number, *_positions(choice)))
        return tuple(standings)

    def table(
        self, strokes: tuple[WantedStroke, WantedStroke], ones: tuple[_HandAt, ...], others: tuple[_HandAt, ...]
    ) -> _Table:
        """From the places of one stroke to those of the next."""
        before, stroke = strokes
        note = stroke.voices[0].timed.note
        slur = note.via if note.string is None else ""
        key = time_class(stroke.start - before.start), slur, ones, others
        table = self._tables.get(key)
        if table is None:
            coming = self._rows(key[0], ones, others)
            if slur:
                self._slur(coming, ones, others, TIE_OF.get(slur) == Tie.LEGATO)
            table = self._tables[key] = _Table(coming, list(zip(*coming, strict=True)))
        return table

    def _rows(self, time: int, ones: Sequence[_HandAt], others: Sequence[_HandAt]) -> list[list[float]]:
        known, shifts = self._costs, self.ways.shifts
        rows = []
        for other, low, high in others:
            to_low, to_high = (shifts(low, time), shifts(high, time)) if low else ((), ())
            row: list[float] = []
            for one, lowest, highest in ones:
                code = (other << 32) + one
                cost = known[code] if code in known else self._cost(one, other)
                if low and lowest:
                    if highest < low:
                        cost += to_low[highest]
                    elif high < lowest:
                        cost += to_high[lowest]
                row.append(cost)
            rows.append(row)
        return rows

    def _slur(
        self, table: list[list[float]], ones: Sequence[_HandAt], others: Sequence[_HandAt], is_legato: bool
    ) -> None:
        """A slur does not go from string to string, and is a stretch for the first and the fourth finger at least."""
        for row, other in zip(table, others, strict=True):
            string, to_fret, _ = self.places[other.place][0]
            for index, one in enumerate(ones):
                earlier, fret, _ = self.places[one.place][0]
                if earlier != string and earlier and string:
                    row[index] = inf
                elif is_legato and fret and to_fret and string:
                    row[index] += self._stretch(round(fret), round(to_fret))

    def _stretch(self, fret: int, to_fret: int) -> int:
        """What it costs at least to slur so far."""
        ways, (finger, following) = self.ways, WIDEST_FINGERS
        strain = slur_strain(finger, following, ways.neck.gap(fret, to_fret), ways.profile)
        apart = APART_COST * max(0, abs(to_fret - fret) - (following - finger))
        return strain_weight(strain) + ways.spread(finger, following, fret, to_fret) + apart

    def _cost(self, one: int, other: int) -> int:
        cost = self.taste.between(self.places[one], self.places[other])
        self._costs[(other << 32) + one] = cost
        return cost


def _own(choice: Choice) -> float:
    """What a choice costs at least by itself: its places, and the fingers that its bends take."""
    force = sum([down.force for step in choice.steps for down in step.downs])
    return float(choice.cost + LEAST_BEND_COST * force)


def _positions(choice: Choice) -> tuple[int, int]:
    if not choice.steps:
        return 0, 0
    frets = [down.fret for down in choice.steps[0].downs]
    lowest = max(1, max(frets) - HAND_FRETS)
    return lowest, max(lowest, min(frets))
