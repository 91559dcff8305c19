"""Grips: which finger may stand where when several places on the neck are held at once, and what that costs.

A grip never lets fingers cross along the neck, lets one finger bar one fret (never over a string that must
sound lower), and gives fingers on one fret to the strings from the lowest to the highest in order.

Costs are whole numbers, a hundred for a finger one fret out of its place. Their proportions were fitted to the
fingerings of the 2,069 voicings of chords-db 0.5.1 (MIT).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, pairwise
from typing import NamedTuple

from tabtools.hand.stance import FINGERS_OF_A_HAND, IMPOSSIBLE_LEVEL, THUMB, Frets, Stances, level_weight, strain_weight

FINGER_NAMES = ("", "1", "2", "3", "4", "T")
_FINGERS = range(1, FINGERS_OF_A_HAND + 1)
FINGERS = {"1": 1, "2": 2, "3": 3, "4": 4, "T": THUMB}

LINE_FINGER_COST = (0, 0, 15, 25, 42, 120)
"""In a line of single notes every finger is used as it comes: only a slight preference is left."""

NUT_BONUS = 14

INVERSION_COST = 250
FIRST_BARRE_COST, BESIDE_OPEN_COST = 90, 60
"""A barre of the first finger, and one that ends beside an open string that must go on sounding."""

OTHER_BARRE_COST = (0, 0, 185, 185, 270, 900)
BARRE_COST_PER_STRING = 50
EXTENSION_COST_PER_MM = 3
LAID_COST = (0, 20, 80, 0, 90, 900)
"""One finger laid over neighbouring strings, nothing else to hold or to let sound (common practice)."""
SAME_FRET_COST = 50
"""Two strings at one fret with others between them, under any fingers but the second and third (common practice)."""

BEND_FINGER_COST = (0, 300, 120, 0, 300, 900)
"""For each 5 N of a bend: the third finger has two to help it, the first has none, and the fourth is the weakest: it
bends where the third does not get to (common practice)."""
BENT_BARRE_COST = 400
"""A bend by a finger that bars another string, which it would pull along."""

MOST_GRIPS, MOST_LETTING_GO = 24, 48
"""Of a shape only its best grips are looked at: with all strings held, and with ringing ones let go."""


class Stop(NamedTuple):
    """A place held down: string, fret, the declared finger (0: none), the force of a bend in steps of 5 N.

    `rings` says that it was struck before and is marked to ring: its finger may let go when it is needed.
    """

    string: int
    fret: int
    declared: int = 0
    force: int = 0
    rings: bool = False


class Grip(NamedTuple):
    """Fingers (1 to 4, 5 the thumb, 0 none) for the stops of a shape, the fret of the first finger, the cost.

    `strain` is the worst reach between two of its fingers: 0 comfortable, 0.5 doubtful, above 1 not possible.
    `frets` are the fingers that are down, each with its fret.
    """

    fingers: tuple[int, ...]
    position: int
    strain: float
    cost: int
    frets: Frets


class Shape:
    """What must be held at once, and the grips that hold it, ringing strings let go where that helps.

    `needed` is how many fingers the rest takes: above four, the grips leave some of it without a finger. `lowest` and
    `highest` are the positions of its grips, of which no more than `most` are looked at where several strings are held.
    """

    __slots__ = ("costs", "grips", "highest", "id", "lowest", "needed", "stops")

    def __init__(
        self, number: int, stops: tuple[Stop, ...], opens: tuple[int, ...], stances: Stances, most: int | None = None
    ):
        self.id = number
        self.stops = stops
        self.needed = 1
        if len(stops) == 1:
            self.grips = _single_grips(stops[0], stances)
        else:
            self.grips = self._chord_grips(opens, stances, most)
        self.costs = [_whole_cost(grip) for grip in self.grips]
        positions = [grip.position for grip in self.grips]
        self.lowest, self.highest = min(positions), max(positions)
        if self.needed > FINGERS_OF_A_HAND:
            self.costs = [cost + level_weight(IMPOSSIBLE_LEVEL) for cost in self.costs]

    def _chord_grips(self, opens: tuple[int, ...], stances: Stances, most: int | None) -> list[Grip]:
        stops = self.stops
        held = self._best([tuple(range(len(stops)))], MOST_GRIPS, opens, stances)
        if most is None or len(held) < most:
            held += self._best(_let_go(stops), MOST_LETTING_GO, opens, stances)
        if not held:
            struck = [index for index, stop in enumerate(stops) if not stop.rings]
            self.needed = _fewest_fingers(stops, struck, opens)
            held = self._best(_as_many_as_can_be(stops, struck, opens), MOST_GRIPS, opens, stances)
        return held[:most]

    def _best(
        self, choices: Iterable[Sequence[int]], most: int, opens: tuple[int, ...], stances: Stances
    ) -> list[Grip]:
        """The best grips of some of the stops."""
        grips = [
            _grip(self.stops, opens, fingers, stances)
            for kept in choices
            if _fewest_fingers(self.stops, kept, opens) <= FINGERS_OF_A_HAND
            for fingers in _assignments(self.stops, kept, opens)
        ]
        return sorted(grips, key=_whole_cost)[:most]


def _whole_cost(grip: Grip) -> int:
    return grip.cost + strain_weight(grip.strain)


def _fewest_fingers(stops: tuple[Stop, ...], kept: Sequence[int], opens: tuple[int, ...]) -> int:
    """How many fingers hold these stops, each barring as much of its fret as it can; the thumb is not counted."""
    lowest = _lowest_frets(stops, kept, opens)
    fewest, before = 0, None
    for index in _in_order(stops, [index for index in kept if stops[index].declared != THUMB]):
        stop = stops[index]
        fewest += before is None or stop.fret != before.fret or not _can_bar(lowest, stop, before.string)
        before = stop
    return fewest


def _let_go(stops: tuple[Stop, ...]) -> list[tuple[int, ...]]:
    """What is left when one of the ringing strings is let go, or all of them."""
    ringing = [index for index, stop in enumerate(stops) if stop.rings]
    every = range(len(stops))
    choices = [tuple(index for index in every if index != gone) for gone in ringing]
    if len(ringing) > 1:
        choices.append(tuple(index for index in every if index not in ringing))
    return [choice for choice in choices if choice]


def _as_many_as_can_be(stops: tuple[Stop, ...], kept: Sequence[int], opens: tuple[int, ...]) -> list[list[int]]:
    """The longest runs of stops, in order of frets, that four fingers can hold."""
    order = _in_order(stops, kept)
    runs = []
    for first in range(len(order)):
        last = first + 1
        while last < len(order) and _fewest_fingers(stops, order[first : last + 1], opens) <= FINGERS_OF_A_HAND:
            last += 1
        runs.append(order[first:last])
    longest = max(map(len, runs))
    return [run for run in runs if len(run) == longest]


def _in_order(stops: tuple[Stop, ...], kept: Sequence[int]) -> list[int]:
    """By fret, and on one fret from the lowest string to the highest."""
    return sorted(kept, key=lambda index: (stops[index].fret, -stops[index].string))


def _lowest_frets(stops: tuple[Stop, ...], kept: Sequence[int], opens: tuple[int, ...]) -> dict[int, int]:
    """The fret at which each string must sound."""
    return {stops[index].string: stops[index].fret for index in kept} | dict.fromkeys(opens, 0)


def _can_bar(lowest: dict[int, int], stop: Stop, string: int) -> bool:
    """Whether a finger on a lower string can take this stop too: nothing between them sounds below its fret."""
    return all(lowest.get(between, stop.fret) >= stop.fret for between in range(stop.string + 1, string))


def _assignments(stops: tuple[Stop, ...], kept: Sequence[int], opens: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Every way to give fingers to the stops that are kept; declared fingers are kept even where they cross."""
    order = _in_order(stops, kept)
    free = [index for index in order if stops[index].declared != THUMB]
    fingers = [0] * len(stops)
    for index in order:
        if stops[index].declared == THUMB:
            fingers[index] = THUMB
    if _is_doubled(stops):
        lowest = _lowest_frets(stops, kept, opens)
        every = [one for given in _ordered(stops, free, lowest, fingers, 0) for one in _either_way(stops, free, given)]
    else:
        every = [_given(fingers, free, some) for some in combinations(_FINGERS, len(free))]
    if any(stops[index].declared for index in free):
        fitting = [given for given in every if all(stops[index].declared in (0, given[index]) for index in free)]
        every = fitting or [
            tuple((stop.declared or finger) if finger else 0 for stop, finger in zip(stops, given, strict=True))
            for given in every
        ]
    return every


def _is_doubled(stops: tuple[Stop, ...]) -> bool:
    """Whether two of them are on one fret."""
    return len({stop.fret for stop in stops}) < len(stops)


def _given(fingers: list[int], order: list[int], some: tuple[int, ...]) -> tuple[int, ...]:
    """Some more fingers given to stops, in order."""
    given = fingers.copy()
    for index, finger in zip(order, some, strict=True):
        given[index] = finger
    return tuple(given)


def _either_way(stops: tuple[Stop, ...], order: list[int], given: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """The fingers as given, and with two neighbours on one fret the other way round."""
    yield given
    for one, other in pairwise(order):
        alone = given[one] != given[other] and given.count(given[one]) == given.count(given[other]) == 1
        if alone and stops[one].fret == stops[other].fret:
            turned = list(given)
            turned[one], turned[other] = given[other], given[one]
            yield tuple(turned)


def _ordered(
    stops: tuple[Stop, ...], order: list[int], lowest: dict[int, int], fingers: list[int], done: int
) -> Iterator[tuple[int, ...]]:
    """Fingers rising with the frets, and on one fret from the lowest string to the highest."""
    if done == len(order):
        yield tuple(fingers)
        return
    index = order[done]
    last = fingers[order[done - 1]] if done else 0
    if done and stops[order[done - 1]].fret == stops[index].fret:
        barred = max(stops[other].string for other in order[:done] if fingers[other] == last)
        if _can_bar(lowest, stops[index], barred):
            fingers[index] = last
            yield from _ordered(stops, order, lowest, fingers, done + 1)
    for finger in range(last + 1, FINGERS_OF_A_HAND + 1):
        fingers[index] = finger
        yield from _ordered(stops, order, lowest, fingers, done + 1)
    fingers[index] = 0


def _grip(stops: tuple[Stop, ...], opens: tuple[int, ...], fingers: tuple[int, ...], stances: Stances) -> Grip:
    frets: dict[int, int] = {}
    strings: dict[int, list[int]] = {}
    cost = 0
    for stop, finger in zip(stops, fingers, strict=True):
        if finger:
            frets[finger] = stop.fret
            strings.setdefault(finger, []).append(stop.string)
            if stop.force:
                cost += stop.force * BEND_FINGER_COST[finger]
    stance = stances.of(tuple(sorted(frets.items())))
    cost += stance.cost + INVERSION_COST * _inversions(stops, fingers)
    is_laid = not opens and len(frets) == 1 and _are_neighbours(stops)
    if is_laid:
        cost += LAID_COST[min(frets)]
    elif len(stops) == 2 and not opens:
        cost += _double_stop_cost(*stops, *fingers)
    if len(frets) < len(stops):
        bent = {finger for stop, finger in zip(stops, fingers, strict=True) if finger and stop.force}
        for finger, barred in strings.items():
            if len(barred) > 1:
                cost += BENT_BARRE_COST if finger in bent else 0
                cost += 0 if is_laid else _barre_cost(finger, barred, opens)
    return Grip(fingers, stance.position, stance.strain, cost, stance.frets)


def _barre_cost(finger: int, barred: list[int], opens: tuple[int, ...]) -> int:
    cost = BESIDE_OPEN_COST if min(barred) - 1 in opens else 0
    if finger == 1:
        return cost + FIRST_BARRE_COST
    return cost + OTHER_BARRE_COST[finger] + BARRE_COST_PER_STRING * (max(barred) - min(barred) - 1)


def _are_neighbours(stops: tuple[Stop, ...]) -> bool:
    """Whether no string lies between those that are held."""
    return stops[-1].string - stops[0].string == len(stops) - 1


def _double_stop_cost(high: Stop, low: Stop, finger: int, other: int) -> int:
    """What two strings sounded together cost besides, as notes of a line."""
    is_across = high.fret == low.fret and low.string - high.string > 1
    if finger == other:
        return SAME_FRET_COST
    if is_across and {finger, other} == {2, 3}:
        return 0
    return LINE_FINGER_COST[finger] + LINE_FINGER_COST[other] + (SAME_FRET_COST if is_across else 0)


def _inversions(stops: tuple[Stop, ...], fingers: tuple[int, ...]) -> int:
    """Pairs of fingers on one fret of which the higher stands on the lower string; stops come in order of strings."""
    if not _is_doubled(stops):
        return 0
    held = [(stop.fret, finger) for stop, finger in zip(stops, fingers, strict=True) if 0 < finger < THUMB]
    return sum(fret == lower and finger < below for (fret, finger), (lower, below) in combinations(held, 2))


def _single_grips(stop: Stop, stances: Stances) -> list[Grip]:
    """One note under each finger: in its place above the first finger, or stretched out of it."""
    fret, wanted = stop.fret, stop.declared
    grips = []
    for finger in (wanted,) if wanted else (1, 2, 3, 4):
        cost = LINE_FINGER_COST[finger] + stop.force * BEND_FINGER_COST[finger]
        if finger in (1, THUMB):
            grips.append(Grip((finger,), fret, 0.0, cost, ((finger, fret),)))
            continue
        natural = fret - finger + 1
        if natural >= 1:
            at_nut = NUT_BONUS if natural == 1 and finger < 4 else 0
            grips.append(Grip((finger,), natural, 0.0, cost - at_nut, ((finger, fret),)))
        limit = stances.profile.reach[(1, finger)]
        for position in range(natural - 1, max(0, natural - (3 if finger == 4 else 2)), -1):
            gap = stances.neck.gap(position, fret)
            if gap <= (limit.error if position == natural - 1 else limit.comfort):
                beyond = gap - stances.neck.gap(position, position + finger - 1)
                cost_beyond = cost + int(EXTENSION_COST_PER_MM * beyond)
                grips.append(Grip((finger,), position, 0.0, cost_beyond, ((finger, fret),)))
    return grips or [Grip((wanted,), 1, 0.0, LINE_FINGER_COST[wanted], ((wanted, fret),))]
