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

from tabtools.hand.neck import Neck
from tabtools.hand.profile import ERROR_STRAIN, WARNING_STRAIN, HandProfile

FINGERS_OF_A_HAND = 4
THUMB = 5
FINGER_NAMES = ("", "1", "2", "3", "4", "T")
FINGERS = {"1": 1, "2": 2, "3": 3, "4": 4, "T": THUMB}

CHORD_FINGER_COST = (0, 0, 40, 55, 55, 90)
LINE_FINGER_COST = (0, 0, 15, 25, 42, 120)
"""In a line of single notes every finger is used as it comes: only a slight preference is left."""

NUT_BONUS = 14

SPREAD_COST_PER_MM = 4
CROWD_COST = 5
INVERSION_COST = 250
FIRST_BARRE_COST, BESIDE_OPEN_COST = 90, 60
"""A barre of the first finger, and one that ends beside an open string that must go on sounding."""

OTHER_BARRE_COST = (0, 0, 185, 185, 270, 900)
BARRE_COST_PER_STRING = 30
EXTENSION_COST_PER_MM = 3
LAID_COST = (0, 20, 80, 0, 90, 900)
"""One finger laid over neighbouring strings, nothing else to hold or to let sound (common practice)."""
SAME_FRET_COST = 50
"""Two strings at one fret with others between them, under any fingers but the second and third (common practice)."""

BEND_FINGER_COST = (0, 170, 120, 0, 170, 900)
"""For each 5 N of a bend: the third finger has two to help it, the first has none, and the fourth is the weakest: it
bends where the third does not get to (common practice)."""
BENT_BARRE_COST = 400
"""A bend by a finger that bars another string, which it would pull along."""

STRAIN_COST = 200
"""For a strain just below the warning, in proportion."""

DOUBTFUL, BARELY, BEYOND, IMPOSSIBLE_LEVEL = 1, 2, 3, 4
"""Levels of hard moves: from the warning on, from half way to the error, above the error, and what cannot be at all."""
LEVEL_BITS, SUM_BITS = 20, 40


def level_weight(level: int) -> int:
    """A level as a cost that no sum of lesser ones outweighs (in up to a million moves)."""
    return 1 << (SUM_BITS + LEVEL_BITS * (level - 1))


def strain_weight(strain: float) -> int:
    """The cost of a strain: in proportion up to the warning, then a level of its own."""
    if strain <= WARNING_STRAIN:
        return int(STRAIN_COST * strain / WARNING_STRAIN)
    if strain > ERROR_STRAIN:
        return level_weight(BEYOND)
    return level_weight(BARELY if strain > (WARNING_STRAIN + ERROR_STRAIN) / 2 else DOUBTFUL)


SLUR_EASE = 1.15
"""How much farther two fingers get one after the other than when both must stay down (assumed): it lets pass what is
common practice, a third finger pulled off over three frets in a box, a fourth over five at the end of a sweep."""

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
    frets: tuple[tuple[int, int], ...]


class Shape:
    """What must be held at once, and the grips that hold it, ringing strings let go where that helps.

    `needed` is how many fingers the rest takes: above four, the grips leave some of it without a finger. `lowest` and
    `highest` are the positions of its grips.
    """

    __slots__ = ("costs", "grips", "highest", "id", "lowest", "needed", "stops")

    def __init__(self, number: int, stops: tuple[Stop, ...], opens: tuple[int, ...], neck: Neck, profile: HandProfile):
        self.id = number
        self.stops = stops
        self.needed = 1
        if len(stops) == 1:
            self.grips = _single_grips(stops[0], neck, profile)
        else:
            self.grips = self._chord_grips(opens, neck, profile)
        self.costs = [_whole_cost(grip) for grip in self.grips]
        positions = [grip.position for grip in self.grips]
        self.lowest, self.highest = min(positions), max(positions)
        if self.needed > FINGERS_OF_A_HAND:
            self.costs = [cost + level_weight(IMPOSSIBLE_LEVEL) for cost in self.costs]

    def _chord_grips(self, opens: tuple[int, ...], neck: Neck, profile: HandProfile) -> list[Grip]:
        stops = self.stops
        held = self._best([tuple(range(len(stops)))], MOST_GRIPS, opens, neck, profile)
        held += self._best(_let_go(stops), MOST_LETTING_GO, opens, neck, profile)
        if not held:
            struck = [index for index, stop in enumerate(stops) if not stop.rings]
            self.needed = _fewest_fingers(stops, struck, opens)
            held = self._best(_as_many_as_can_be(stops, struck, opens), MOST_GRIPS, opens, neck, profile)
        return held

    def _best(
        self, choices: Iterable[Sequence[int]], most: int, opens: tuple[int, ...], neck: Neck, profile: HandProfile
    ) -> list[Grip]:
        """The best grips of some of the stops."""
        grips = [
            _grip(self.stops, opens, fingers, neck, profile)
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
    lowest = _lowest_frets(stops, kept, opens)
    every = [one for given in _ordered(stops, free, lowest, fingers, 0) for one in _either_way(stops, free, given)]
    if any(stops[index].declared for index in free):
        fitting = [given for given in every if all(stops[index].declared in (0, given[index]) for index in free)]
        every = fitting or [
            tuple((stop.declared or finger) if finger else 0 for stop, finger in zip(stops, given, strict=True))
            for given in every
        ]
    return every


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


def _grip(
    stops: tuple[Stop, ...], opens: tuple[int, ...], fingers: tuple[int, ...], neck: Neck, profile: HandProfile
) -> Grip:
    frets: dict[int, int] = {}
    strings: dict[int, list[int]] = {}
    cost = 0
    for stop, finger in zip(stops, fingers, strict=True):
        if finger:
            frets[finger] = stop.fret
            strings.setdefault(finger, []).append(stop.string)
            cost += stop.force * BEND_FINGER_COST[finger]
    cost += sum(CHORD_FINGER_COST[finger] for finger in frets)
    is_laid = not opens and len(frets) == 1 and _are_neighbours(stops)
    if is_laid:
        cost += LAID_COST[min(frets)]
    elif len(stops) == 2 and not opens:
        cost += _double_stop_cost(*stops, *fingers)
    cost += INVERSION_COST * _inversions(stops, fingers)
    along = sorted(finger for finger in frets if finger != THUMB)
    for finger, following in pairwise(along):
        natural = frets[finger] + following - finger
        if frets[following] > natural:
            cost += int(SPREAD_COST_PER_MM * neck.gap(natural, frets[following]))
        else:
            cost += CROWD_COST * (natural - frets[following])
    bent = {finger for stop, finger in zip(stops, fingers, strict=True) if finger and stop.force}
    for finger, barred in strings.items():
        if len(barred) > 1:
            over = max(barred) - min(barred) - 1
            if finger in bent:
                cost += BENT_BARRE_COST
            if is_laid:
                continue
            cost += BESIDE_OPEN_COST if min(barred) - 1 in opens else 0
            cost += FIRST_BARRE_COST if finger == 1 else OTHER_BARRE_COST[finger] + BARRE_COST_PER_STRING * over
    if not along:
        return Grip(fingers, min(frets.values(), default=1), 0.0, cost, tuple(frets.items()))
    strain = max(
        (
            reach_strain(one, other, neck.gap(frets[one], frets[other]), profile)
            for one, other in combinations(along, 2)
        ),
        default=0.0,
    )
    return Grip(fingers, max(1, frets[along[0]] - along[0] + 1), strain, cost, tuple(frets.items()))


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
    held = [(stop.fret, finger) for stop, finger in zip(stops, fingers, strict=True) if 0 < finger < THUMB]
    return sum(fret == lower and finger < below for (fret, finger), (lower, below) in combinations(held, 2))


def reach_strain(finger: int, other: int, gap_mm: float, profile: HandProfile) -> float:
    """How hard it is to hold two fingers so far apart along the neck; the thumb is left out of it."""
    if THUMB in (finger, other) or finger == other:
        return 0.0
    return profile.reach[(finger, other) if finger < other else (other, finger)].strain(gap_mm)


def slur_strain(finger: int, other: int, gap_mm: float, profile: HandProfile) -> float:
    """How hard it is to reach so far on one string from one finger to the other, the hand turning after it."""
    return reach_strain(finger, other, gap_mm / SLUR_EASE, profile)


def _single_grips(stop: Stop, neck: Neck, profile: HandProfile) -> list[Grip]:
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
        limit = profile.reach[(1, finger)]
        for position in range(natural - 1, max(0, natural - (3 if finger == 4 else 2)), -1):
            gap = neck.gap(position, fret)
            if gap <= (limit.error if position == natural - 1 else limit.comfort):
                beyond = gap - neck.gap(position, position + finger - 1)
                cost_beyond = cost + int(EXTENSION_COST_PER_MM * beyond)
                grips.append(Grip((finger,), position, 0.0, cost_beyond, ((finger, fret),)))
    return grips or [Grip((wanted,), 1, 0.0, LINE_FINGER_COST[wanted], ((wanted, fret),))]
