"""How hard it is to stand with fingers at some frets, whatever the strings; levels of hard moves.

Levels are part of the cost, each of more weight than any sum of lesser ones: the hardest move is made easy first.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations, pairwise
from typing import NamedTuple

from tabtools.hand.neck import Neck
from tabtools.hand.profile import ERROR_STRAIN, WARNING_STRAIN, HandProfile

FINGERS_OF_A_HAND = 4
THUMB = 5

CHORD_FINGER_COST = (0, 0, 40, 55, 55, 90)
SPREAD_COST_PER_MM = 4
CROWD_COST = 5

STRAIN_COST = 200
"""For a strain just below the warning, in proportion."""

BEYOND_MM = 5
"""Reaches that no hand has are told apart by so many millimetres: the fingers that come nearest to them weigh least."""

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


Frets = tuple[tuple[int, int], ...]
"""Fingers that are down, each with its fret, in order of fingers."""


def reach_strain(finger: int, other: int, gap_mm: float, profile: HandProfile) -> float:
    """How hard it is to hold two fingers so far apart along the neck; the thumb is left out of it."""
    if THUMB in (finger, other) or finger == other:
        return 0.0
    return profile.reach[(finger, other) if finger < other else (other, finger)].strain(gap_mm)


def slur_strain(finger: int, other: int, gap_mm: float, profile: HandProfile) -> float:
    """How hard it is to reach so far on one string from one finger to the other; the thumb is left out of it."""
    if THUMB in (finger, other) or finger == other:
        return 0.0
    return profile.slur_reach[(finger, other) if finger < other else (other, finger)].strain(gap_mm)


class Stance(NamedTuple):
    """Fingers at frets: the fret of the first finger, the worst reach between two of them, what that weighs, the cost
    of the rest."""

    position: int
    strain: float
    weight: int
    cost: int
    frets: Frets


class Stances:
    """The stances of one player on one neck, each worked out once."""

    def __init__(self, neck: Neck, profile: HandProfile):
        self.neck = neck
        self.profile = profile
        self._known: tuple[dict[Frets, Stance], dict[Frets, Stance]] = {}, {}
        self._least: dict[tuple[int, int, int], int] = {}

    def of(self, frets: Frets, is_bending: bool = False) -> Stance:
        """The stance of these fingers at these frets; a hand that bends has turned and gets as far as in a slur."""
        known = self._known[is_bending]
        stance = known.get(frets)
        if stance is None:
            stance = known[frets] = self._stance(frets, slur_strain if is_bending else reach_strain)
        return stance

    def least(self, lowest: int, highest: int, frets: int) -> int:
        """What it costs at least to hold so many different frets, from one to another, the thumb left out of it."""
        key = lowest, highest, frets
        least = self._least.get(key)
        if least is None:
            least = self._least[key] = self._new_least(lowest, highest, frets)
        return least

    def _new_least(self, lowest: int, highest: int, frets: int) -> int:
        """The outermost fingers are the most easily spread; each cost in between is a whole number, perhaps less by
        one."""
        if not 1 < frets <= FINGERS_OF_A_HAND:
            return 0
        gap = self.neck.gap(lowest, highest)
        costs = []
        for fingers in combinations(range(1, FINGERS_OF_A_HAND + 1), frets):
            first, last = fingers[0], fingers[-1]
            natural = lowest + last - first
            spread = int(SPREAD_COST_PER_MM * self.neck.gap(natural, highest)) if highest > natural else 0
            cost = sum([CHORD_FINGER_COST[finger] for finger in fingers]) + max(0, spread - frets + 2)
            costs.append(cost + strain_weight(reach_strain(first, last, gap, self.profile)))
        return min(costs)

    def _stance(self, frets: Frets, strain_of: Callable[[int, int, float, HandProfile], float]) -> Stance:
        cost = sum(CHORD_FINGER_COST[finger] for finger, _ in frets)
        along = [(finger, fret) for finger, fret in frets if finger != THUMB]
        if not along:
            return Stance(min((fret for _, fret in frets), default=1), 0.0, strain_weight(0.0), cost, frets)
        for (finger, fret), (following, to_fret) in pairwise(along):
            natural = fret + following - finger
            if to_fret > natural:
                cost += int(SPREAD_COST_PER_MM * self.neck.gap(natural, to_fret))
            else:
                cost += CROWD_COST * (natural - to_fret)
        strain = beyond_mm = 0.0
        for (finger, fret), (other, other_fret) in combinations(along, 2):
            gap_mm = self.neck.gap(fret, other_fret)
            strain = max(strain, strain_of(finger, other, gap_mm, self.profile))
            if finger != other:
                limit = self.profile.reach[min(finger, other), max(finger, other)]
                beyond_mm = max(beyond_mm, gap_mm - limit.error)
        finger, fret = along[0]
        weight = strain_weight(strain)
        if strain > ERROR_STRAIN:
            weight += level_weight(BARELY) * int(beyond_mm / BEYOND_MM)
        return Stance(max(1, fret - finger + 1), strain, weight, cost, frets)
