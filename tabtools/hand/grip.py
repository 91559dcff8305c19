"""Grips: which finger may stand where when several places on the neck are held at once, and what that costs.

A grip never lets fingers cross along the neck, lets one finger bar one fret (never over a string that must
sound lower), and gives fingers on one fret to the strings from the lowest to the highest in order.

Costs are whole numbers, a hundred for a finger one fret out of its place. Their proportions were fitted to the
fingerings of the 2,069 voicings of chords-db 0.5.1 (MIT).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from operator import itemgetter
from typing import NamedTuple

from tabtools.hand.assigning import Assigned, Assigning
from tabtools.hand.stance import FINGERS_OF_A_HAND, IMPOSSIBLE_LEVEL, THUMB, Frets, Stance, Stances, level_weight

FINGER_NAMES = ("", "1", "2", "3", "4", "T")
FINGERS = {"1": 1, "2": 2, "3": 3, "4": 4, "T": THUMB}

LINE_FINGER_COST = (0, 0, 15, 25, 42, 120)
"""In a line of single notes every finger is used as it comes: only a slight preference is left."""

NUT_BONUS = 14

INVERSION_COST = 250
FIRST_BARRE_COST, BESIDE_OPEN_COST = 90, 60
"""A barre of the first finger, and one that ends beside an open string that must go on sounding."""

OTHER_BARRE_COST = (0, 0, 250, 250, 330, 900)
BARRE_COST_PER_STRING = 120
THREE_BARRED, THREE_BARRED_COST = 3, 140
"""Three strings under one finger, besides one other finger: where the three fingers behind the first have room they are
taken, at the first fret too (published so in 34 of 45 voicings of that kind)."""
OVER_LOWER_COST, SPLIT_COST = 80, 120
"""A barre of any finger but the first beside a string that sounds lower, from which it has to bend away; and one that
leaves another string of its fret to another finger."""
EXTENSION_COST_PER_MM = 3
LAID_COST = (0, 20, 80, 0, 90, 900)
"""One finger laid over neighbouring strings, nothing else to hold or to let sound (common practice)."""
SAME_FRET_COST, NEIGHBOUR_COST = 50, 150
"""Two strings at one fret with others between them, under any fingers but the second and third; two neighbours there
under two fingers, for which one is laid over them (common practice)."""
SECOND_FRET, OFF_THE_NUT_COST = 2, 60
"""Two fingers at the second fret of a chord with open strings are the second and the third, the hand at the nut
(common practice)."""
CROWDED_COST = 100
"""A double stop over two neighbouring frets has neighbouring fingers: so much for each finger between them (common
practice)."""
FULL_CHORD, OPEN_CHORDS_TO = 4, 3
"""An open chord has so many strings, and its fretted notes lie up to this fret."""
CHORD, HABIT_COST, HABIT_SHARE, MOST_HABIT = 3, 240, 0.8, 2000
"""From so many strings on a chord is held by the fingers it is learnt with: others cost so much besides, where places
are given, and what they cost more counts so much again (common practice)."""

BEND_FINGER_COST = (0, 600, 200, 0, 450, 900)
"""For each 5 N of a bend: the third finger has two to help it, the first has none, and the fourth is the weakest; the
hand moves rather than bend with them, unless it is a small curl (common practice)."""
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

    `needed` is how many fingers the rest takes: above four, the grips leave some of it without a finger. `strings` are
    how many sound, open ones too; `is_open_chord` says that they are one of the chords of the nut. `lowest` and
    `highest` are the positions of its grips, of which no more than `most` are looked at where several strings are held.
    """

    __slots__ = ("costs", "grips", "highest", "id", "is_open_chord", "lowest", "needed", "stops", "strings")

    def __init__(
        self, number: int, stops: tuple[Stop, ...], opens: tuple[int, ...], stances: Stances, most: int | None = None
    ):
        self.id = number
        self.stops = stops
        self.strings = len(stops) + len(opens)
        self.is_open_chord = is_open_chord(stops, opens)
        self.needed = 1
        if len(stops) == 1:
            self.grips = _single_grips(stops[0], stances)
            self.costs = [grip.cost for grip in self.grips]
        else:
            weighed = self._chord_grips(opens, stances, most)
            self.grips = [grip for _, grip in weighed]
            self.costs = [whole for whole, _ in weighed]
            strings = self.strings if most is None else len(stops)
            if strings >= CHORD and not any(stop.rings for stop in stops):
                self._prefer_the_best(HABIT_COST if most is None else 0)
        positions = [grip.position for grip in self.grips]
        self.lowest, self.highest = min(positions), max(positions)
        if self.needed > FINGERS_OF_A_HAND:
            self.costs = [cost + level_weight(IMPOSSIBLE_LEVEL) for cost in self.costs]

    def _prefer_the_best(self, least_more: int) -> None:
        """A chord keeps the fingers it is learnt with, whatever comes before: others cost more than by themselves."""
        least = min(self.costs)
        self.costs = [
            cost + (least_more + int(min(MOST_HABIT, HABIT_SHARE * (cost - least))) if cost > least else 0)
            for cost in self.costs
        ]

    def _chord_grips(self, opens: tuple[int, ...], stances: Stances, most: int | None) -> list[tuple[int, Grip]]:
        stops = self.stops
        every = Assigning(stops, range(len(stops)), opens)
        held = self._best([every], MOST_GRIPS, opens, stances)
        if most is None or len(held) < most:
            held += self._best(_let_go(stops, opens), MOST_LETTING_GO, opens, stances)
        if not held:
            struck = [index for index, stop in enumerate(stops) if not stop.rings]
            self.needed = Assigning(stops, struck, opens).fewest
            held = self._best(_as_many_as_can_be(stops, struck, opens), MOST_GRIPS, opens, stances)
        return held[:most]

    def _best(
        self, choices: Iterable[Assigning], most: int, opens: tuple[int, ...], stances: Stances
    ) -> list[tuple[int, Grip]]:
        """The best grips of some of the stops, each with its whole cost."""
        weighing = _Weighing(self.stops, opens)
        weighed = []
        for choice in choices:
            if choice.fewest <= FINGERS_OF_A_HAND:
                for assigned in choice.assignments():
                    stance = stances.of(assigned.down, bool(weighing.bends))
                    cost = stance.cost + weighing.fingers(assigned) + weighing.at_the_nut(stance)
                    weighed.append((cost + stance.weight, cost, assigned.fingers, stance))
        weighed.sort(key=itemgetter(0))
        return [
            (whole, Grip(fingers, stance.position, stance.strain, cost, stance.frets))
            for whole, cost, fingers, stance in weighed[:most]
        ]


def is_open_chord(stops: tuple[Stop, ...], opens: tuple[int, ...]) -> bool:
    """Whether these are a full chord with open strings in the first frets."""
    strings = len(stops) + len(opens)
    return bool(opens) and strings >= FULL_CHORD and all(stop.fret <= OPEN_CHORDS_TO for stop in stops)


def _let_go(stops: tuple[Stop, ...], opens: tuple[int, ...]) -> Iterator[Assigning]:
    """What is left when one of the ringing strings is let go, or all of them."""
    ringing = [index for index, stop in enumerate(stops) if stop.rings]
    every = range(len(stops))
    for gone in ringing:
        yield Assigning(stops, [index for index in every if index != gone], opens)
    if 1 < len(ringing) < len(stops):
        yield Assigning(stops, [index for index in every if index not in ringing], opens)


def _as_many_as_can_be(stops: tuple[Stop, ...], kept: Sequence[int], opens: tuple[int, ...]) -> list[Assigning]:
    """The longest runs of stops, in order of frets, that four fingers can hold."""
    kept = sorted(kept, key=lambda index: (stops[index].fret, -stops[index].string))
    runs = []
    for first in range(len(kept)):
        last = first + 1
        while last < len(kept) and Assigning(stops, kept[first : last + 1], opens).fewest <= FINGERS_OF_A_HAND:
            last += 1
        runs.append(kept[first:last])
    longest = max(map(len, runs))
    return [Assigning(stops, run, opens) for run in runs if len(run) == longest]


class _Weighing:
    """What the grips of one shape cost besides how the fingers stand to each other."""

    def __init__(self, stops: tuple[Stop, ...], opens: tuple[int, ...]):
        self.stops = stops
        self.opens = opens
        self.bends = [(index, stop.force) for index, stop in enumerate(stops) if stop.force]
        self.is_laid = not opens and _are_neighbours(stops)
        self.is_double = not opens and len(stops) == 2

    def fingers(self, assigned: Assigned) -> int:
        """What it costs which fingers they are."""
        fingers, down, inversions = assigned
        cost = INVERSION_COST * inversions
        for index, force in self.bends:
            cost += force * BEND_FINGER_COST[fingers[index]]
        is_laid = self.is_laid and len(down) == 1
        if is_laid:
            cost += LAID_COST[down[0][0]]
        elif self.is_double:
            cost += _double_stop_cost(self.stops, fingers)
        if len(down) + fingers.count(0) < len(fingers):
            cost += self._barres(fingers, is_laid)
        return cost

    def at_the_nut(self, stance: Stance) -> int:
        """What it costs that the hand of a learnt chord does not stand at the nut."""
        is_pair = [stop.fret for stop in self.stops] == [SECOND_FRET, SECOND_FRET] and len(self.opens) > 1
        return OFF_THE_NUT_COST if is_pair and stance.position > 1 else 0

    def _barres(self, fingers: tuple[int, ...], is_laid: bool) -> int:
        """What it costs that fingers bar several strings."""
        strings: dict[int, list[int]] = {}
        for stop, finger in zip(self.stops, fingers, strict=True):
            if finger:
                strings.setdefault(finger, []).append(stop.string)
        bent = {fingers[index] for index, _ in self.bends}
        cost = 0
        for finger, barred in strings.items():
            if len(barred) > 1:
                cost += BENT_BARRE_COST if finger in bent else 0
                cost += 0 if is_laid else _barre_cost(finger, barred, self.opens)
                if finger > 1:
                    cost += self._partial_cost(finger, barred, fingers)
                    cost += THREE_BARRED_COST if len(barred) == THREE_BARRED and len(strings) == 2 else 0
        return cost

    def _partial_cost(self, finger: int, barred: list[int], fingers: tuple[int, ...]) -> int:
        """What it costs that a finger behind the first bars strings, by what sounds beside them."""
        fret = next(stop.fret for stop in self.stops if stop.string == barred[0])
        held = list(zip(self.stops, fingers, strict=True))
        is_over_lower = any(stop.string == barred[0] - 1 and stop.fret < fret for stop, _ in held)
        is_split = any(stop.fret == fret and other not in (0, finger) for stop, other in held)
        return (OVER_LOWER_COST if is_over_lower else 0) + (SPLIT_COST if is_split else 0)


def _barre_cost(finger: int, barred: list[int], opens: tuple[int, ...]) -> int:
    cost = BESIDE_OPEN_COST if min(barred) - 1 in opens else 0
    if finger == 1:
        return cost + FIRST_BARRE_COST
    return cost + OTHER_BARRE_COST[finger] + BARRE_COST_PER_STRING * (max(barred) - min(barred) - 1)


def _are_neighbours(stops: tuple[Stop, ...]) -> bool:
    """Whether no string lies between those that are held."""
    return stops[-1].string - stops[0].string == len(stops) - 1


def _double_stop_cost(stops: tuple[Stop, ...], fingers: tuple[int, ...]) -> int:
    """What two strings sounded together cost besides, as notes of a line."""
    high, low = stops
    finger, other = fingers
    is_across = high.fret == low.fret and low.string - high.string > 1
    if finger == other:
        return SAME_FRET_COST
    if is_across and {finger, other} == {2, 3}:
        return 0
    crowded = CROWDED_COST * (abs(finger - other) - 1) if abs(high.fret - low.fret) == 1 else 0
    neighbours = NEIGHBOUR_COST if high.fret == low.fret and not is_across else 0
    return (
        crowded + neighbours + LINE_FINGER_COST[finger] + LINE_FINGER_COST[other] + (SAME_FRET_COST if is_across else 0)
    )


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
