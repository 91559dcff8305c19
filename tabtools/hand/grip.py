"""Grips: which finger may stand where when several places on the neck are held at once, and what that costs.

A grip never lets fingers cross along the neck, lets one finger bar one fret (never over a string that must
sound lower), and gives fingers on one fret to the strings from the lowest to the highest in order.

Costs are whole numbers, a hundred for a finger one fret out of its place. Their proportions were fitted to the
fingerings of the 2,069 voicings of chords-db 0.5.1 (MIT).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from typing import NamedTuple

from tabtools.hand.neck import Neck
from tabtools.hand.profile import HandProfile

THUMB = 5
FINGER_NAMES = ("", "1", "2", "3", "4", "T")
FINGERS = {"1": 1, "2": 2, "3": 3, "4": 4, "T": THUMB}

CHORD_FINGER_COST = (0, 0, 40, 55, 55, 90)
LINE_FINGER_COST = (0, 0, 4, 8, 14, 120)
"""In a line of single notes every finger is used as it comes: only a slight preference is left."""

SPREAD_COST_PER_MM = 4
CROWD_COST = 5
FIRST_BARRE_COST = 120
OTHER_BARRE_COST = (0, 0, 185, 185, 270, 900)
BARRE_COST_PER_STRING = 30
EXTENSION_COST_PER_MM = 3

BEND_FINGER_COST = (0, 60, 25, 0, 15, 500)
"""For each 5 N of a bend: the third finger has two to help it, the first has none (common practice)."""

STRAIN_LEVELS = 4
"""Levels up to the error limit; the moves above it are one level more, the impossible another."""
LEVEL_BITS, SUM_BITS = 20, 40
IMPOSSIBLE_LEVEL = STRAIN_LEVELS + 2


def level_weight(level: int) -> int:
    """A level of strain as a cost that no sum of lesser ones outweighs (in up to a million moves)."""
    return 1 << (SUM_BITS + LEVEL_BITS * (level - 1)) if level else 0


def strain_weight(strain: float) -> int:
    """The weight of a strain: 0 when comfortable, quarters up to the error limit, and one level above it."""
    if strain <= 0:
        return 0
    return level_weight(STRAIN_LEVELS + 1 if strain > 1 else min(STRAIN_LEVELS, 1 + int(strain * STRAIN_LEVELS)))


class Stop(NamedTuple):
    """A place held down: string, fret, the declared finger (0: none), the force of a bend in steps of 5 N."""

    string: int
    fret: int
    declared: int = 0
    force: int = 0


class Grip(NamedTuple):
    """Fingers (1 to 4, 5 the thumb, 0 none left) for the stops of a shape, the fret of the first finger, the cost.

    `strain` is the worst reach between two of its fingers: 0 comfortable, 0.5 doubtful, above 1 not possible.
    """

    fingers: tuple[int, ...]
    position: int
    strain: float
    cost: int


class Shape:
    """What must be held at once, and every grip that holds it.

    `spare` are the stops that no finger is left for; `needed` is how many fingers it would take.
    """

    __slots__ = ("costs", "grips", "id", "needed", "spare", "stops")

    def __init__(self, number: int, stops: tuple[Stop, ...], opens: tuple[int, ...], neck: Neck, profile: HandProfile):
        self.id = number
        self.stops = stops
        self.spare: tuple[int, ...] = ()
        self.needed = 1
        if len(stops) == 1:
            self.grips = _single_grips(stops[0], neck, profile)
        else:
            self.grips = self._chord_grips(opens, neck, profile)
        self.costs = [grip.cost + strain_weight(grip.strain) for grip in self.grips]
        if self.spare:
            self.costs = [cost + level_weight(IMPOSSIBLE_LEVEL) for cost in self.costs]

    def _chord_grips(self, opens: tuple[int, ...], neck: Neck, profile: HandProfile) -> list[Grip]:
        stops = self.stops
        found = list(_assignments(stops, opens, 4))
        if not found:
            self.needed = next((most for most in (5, 6) if any(_assignments(stops, opens, most))), len(stops))
            found = self._with_spare(opens)
        else:
            self.needed = min(len({finger for finger in fingers if finger}) for fingers in found)
        return [_grip(stops, fingers, neck, profile) for fingers in found]

    def _with_spare(self, opens: tuple[int, ...]) -> list[tuple[int, ...]]:
        """Grips for as many of the stops as fingers can hold, 0 for the others."""
        count = len(self.stops)
        for kept in range(count - 1, 0, -1):
            found = []
            for chosen in combinations(range(count), kept):
                for fingers in _assignments(tuple(self.stops[index] for index in chosen), opens, 4):
                    given = dict(zip(chosen, fingers, strict=True))
                    found.append(tuple(given.get(index, 0) for index in range(count)))
            if found:
                self.spare = tuple(index for index, finger in enumerate(found[0]) if not finger)
                return found
        raise AssertionError("one stop can always be held")


def _assignments(stops: tuple[Stop, ...], opens: tuple[int, ...], most: int) -> Iterator[tuple[int, ...]]:
    """Every way to give fingers to stops without crossing; declared fingers are kept even where they cross."""
    order = sorted(range(len(stops)), key=lambda index: (stops[index].fret, -stops[index].string))
    thumbs = [index for index in order if stops[index].declared == THUMB]
    free = [index for index in order if stops[index].declared != THUMB]
    fingers = [0] * len(stops)
    for index in thumbs:
        fingers[index] = THUMB
    declared = any(stops[index].declared for index in free)
    found = False
    for given in _ordered(stops, free, opens, fingers, 0, most):
        if not declared or all(stops[index].declared in (0, given[index]) for index in free):
            found = True
            yield given
    if declared and not found:
        for given in _ordered(stops, free, opens, fingers, 0, most):
            yield tuple(stop.declared or finger for stop, finger in zip(stops, given, strict=True))


def _ordered(
    stops: tuple[Stop, ...], order: list[int], opens: tuple[int, ...], fingers: list[int], done: int, most: int
) -> Iterator[tuple[int, ...]]:
    if done == len(order):
        yield tuple(fingers)
        return
    index = order[done]
    last = fingers[order[done - 1]] if done else 0
    if done and stops[order[done - 1]].fret == stops[index].fret:
        barred = max(stops[other].string for other in order[:done] if fingers[other] == last)
        if _can_bar(stops, opens, stops[index].fret, stops[index].string, barred):
            fingers[index] = last
            yield from _ordered(stops, order, opens, fingers, done + 1, most)
    for finger in range(last + 1, most + 1):
        fingers[index] = finger
        yield from _ordered(stops, order, opens, fingers, done + 1, most)
    fingers[index] = 0


def _can_bar(stops: tuple[Stop, ...], opens: tuple[int, ...], fret: int, high: int, low: int) -> bool:
    """Whether no string between the two must sound below the fret."""
    if any(high < string < low for string in opens):
        return False
    return not any(high < stop.string < low and stop.fret < fret for stop in stops)


def _grip(stops: tuple[Stop, ...], fingers: tuple[int, ...], neck: Neck, profile: HandProfile) -> Grip:
    frets: dict[int, int] = {}
    strings: dict[int, list[int]] = {}
    cost = 0
    for stop, finger in zip(stops, fingers, strict=True):
        if finger:
            frets[finger] = stop.fret
            strings.setdefault(finger, []).append(stop.string)
            cost += stop.force * BEND_FINGER_COST[finger]
    cost += sum(CHORD_FINGER_COST[finger] for finger in frets)
    along = sorted(finger for finger in frets if finger != THUMB)
    for finger, following in pairwise(along):
        natural = frets[finger] + following - finger
        if frets[following] > natural:
            cost += int(SPREAD_COST_PER_MM * neck.gap(natural, frets[following]))
        else:
            cost += CROWD_COST * (natural - frets[following])
    for finger, barred in strings.items():
        if len(barred) > 1:
            over = max(barred) - min(barred) - 1
            cost += FIRST_BARRE_COST if finger == 1 else OTHER_BARRE_COST[finger] + BARRE_COST_PER_STRING * over
    if not along:
        return Grip(fingers, max(1, min(frets.values())), 0.0, cost)
    strain = max(
        (
            reach_strain(one, other, neck.gap(frets[one], frets[other]), profile)
            for one, other in combinations(along, 2)
        ),
        default=0.0,
    )
    return Grip(fingers, max(1, frets[along[0]] - along[0] + 1), strain, cost)


def reach_strain(finger: int, other: int, gap_mm: float, profile: HandProfile) -> float:
    """How hard it is to hold two fingers so far apart along the neck; the thumb is left out of it."""
    if THUMB in (finger, other) or finger == other:
        return 0.0
    return profile.reach[(finger, other) if finger < other else (other, finger)].strain(gap_mm)


def _single_grips(stop: Stop, neck: Neck, profile: HandProfile) -> list[Grip]:
    """One note under each finger: in its place above the first finger, or stretched out of it."""
    fret, wanted = stop.fret, stop.declared
    grips = []
    for finger in (wanted,) if wanted else (1, 2, 3, 4):
        cost = LINE_FINGER_COST[finger] + stop.force * BEND_FINGER_COST[finger]
        if finger in (1, THUMB):
            grips.append(Grip((finger,), fret, 0.0, cost))
            continue
        natural = fret - finger + 1
        if natural >= 1:
            grips.append(Grip((finger,), natural, 0.0, cost))
        limit = profile.reach[(1, finger)]
        for position in range(natural - 1, max(0, natural - (3 if finger == 4 else 2)), -1):
            gap = neck.gap(position, fret)
            if gap <= (limit.error if position == natural - 1 else limit.comfort):
                beyond = gap - neck.gap(position, position + finger - 1)
                grips.append(Grip((finger,), position, 0.0, cost + int(EXTENSION_COST_PER_MM * beyond)))
    return grips or [Grip((wanted,), 1, 0.0, LINE_FINGER_COST[wanted])]
