"""The ways of the fingers along the neck: how far they are, how long they take, what they cost.

Times are taken in classes a fifth apart, so that what is worked out can be remembered.
"""

from __future__ import annotations

import math

from tabtools.hand.grip import Grip
from tabtools.hand.neck import Neck
from tabtools.hand.profile import SHIFT_LIMIT, HandProfile
from tabtools.hand.stance import FINGERS_OF_A_HAND, SPREAD_COST_PER_MM, THUMB, strain_weight

SHIFT_COST, SHIFT_COST_PER_MM, HURRY_COST = 240, 1, 150
SAME_FINGER_COST, HOPPING = 80, 1.25
"""One finger on two frets one after the other has to lift and to come down again, as if its way were longer (assumed):
no finger hops in a fast line (common practice)."""

HAND_MM = 80
"""How far along the neck four fingers stand, in the middle of it."""

GUIDED_SHARE = 0.2
"""A shift counts less where a finger stays on its string and leads the way (common practice)."""

UNLED_COST = 80
"""One finger a fret, unless the first is one of the two: for each fret that two others stand apart beyond their own
places (common practice)."""

LEISURE_SECONDS, LEISURE_SHARE = 1.0, 0.4
"""After a second of rest a shift counts less than half: each phrase finds its own place."""

SHORTEST, CLASSES_PER_OCTAVE, LAST_CLASS = 0.02, 4, 24
MOST_WAYS = 50_000
"""How many ways from grip to grip are remembered before they are let go."""

Frets = tuple[tuple[int, int], ...]
"""Fingers that are down, each with its fret."""


_ALL = range(THUMB + 1)


def time_class(seconds: float) -> int:
    """Times as classes, four to the doubling, from 20 ms to 1.3 s."""
    if seconds <= SHORTEST:
        return 0
    return min(LAST_CLASS, int(CLASSES_PER_OCTAVE * math.log2(seconds / SHORTEST)))


def class_seconds(time: int) -> float:
    """The middle of a class."""
    return SHORTEST * 2 ** ((time + 0.5) / CLASSES_PER_OCTAVE)


def _share(seconds: float) -> float:
    """How much of a shift counts after so long a time."""
    rest = (seconds - LEISURE_SECONDS / 4) / (LEISURE_SECONDS * 3 / 4)
    return 1 - (1 - LEISURE_SHARE) * min(1.0, max(0.0, rest))


SECONDS = [class_seconds(time) for time in range(LAST_CLASS + 1)]
SHARES = [_share(seconds) for seconds in SECONDS]


def travel(neck: Neck, profile: HandProfile, finger: int, fret: int, following: int, to_fret: int) -> float:
    """How far along the neck a finger must go, in millimetres, beyond where it can be while another holds its fret.

    While finger 4 is at fret 8, finger 1 can be anywhere from there to a comfortable reach below: to fret 9 it
    has one fret to go. The same finger goes all the way.
    """
    gap = neck.mm(to_fret) - neck.mm(fret)
    if finger == following or THUMB in (finger, following):
        return abs(gap)
    if following < finger:
        gap, finger, following = -gap, following, finger
    return -gap if gap < 0 else max(0.0, gap - profile.reach[finger, following].comfort)


def out_of_place(finger: int, other: int, frets: int) -> int:
    """How many frets two fingers stand apart beyond one finger a fret; the first finger goes anywhere."""
    return 0 if 1 in (finger, other) else max(0, frets - abs(other - finger))


def farthest_travel(neck: Neck, profile: HandProfile, before: Frets, after: Frets) -> float:
    """The longest way that any finger has from where fingers are down before."""
    ways = [
        travel(neck, profile, finger, fret, following, to_fret)
        for finger, fret in before
        for following, to_fret in after
    ]
    return max(ways, default=0.0)


def needed_seconds(neck: Neck, profile: HandProfile, travel_mm: float, fret: int) -> float:
    """The time a hand needs for such a way to a fret; the target is half the fret's width."""
    return profile.shift_seconds(travel_mm, target_mm(neck, fret))


def target_mm(neck: Neck, fret: int) -> float:
    """How well a finger has to aim at a fret."""
    return neck.fret_width(fret) / 2


class Ways:
    """The ways on one neck for one player, each measured once.

    `leap` is what a millimetre of a shift costs besides where it goes over more than a hand's width.
    """

    def __init__(self, neck: Neck, profile: HandProfile, leap: int = 0):
        self.neck = neck
        self.profile = profile
        self.leap = leap
        self._shifts: dict[tuple[int, float], list[int]] = {}
        self._steps: dict[tuple[int, int], tuple[float, float, dict[tuple[int, int], tuple[float, int]]]] = {}
        self._targets: dict[int, float] = {}
        self._travels: dict[tuple[int, int], list[list[float]]] = {}
        self._changes: dict[tuple[Frets, int], dict[Frets, float]] = {}
        self._remembered = 0

    def shift(self, before: int, after: int, time: int) -> int:
        """The first finger's place moves along the neck, nothing holding the hand."""
        return self.shifts(after, time)[before]

    def shifts(self, after: int, time: int) -> list[int]:
        """The same to one fret from each."""
        share = SHARES[time]
        row = self._shifts.get((after, share))
        if row is None:
            there = self.neck.at_fret[after]
            places = self.neck.at_fret[: self.neck.frets + 1]
            row = [int(share * self._whole_shift(abs(there - mm))) for mm in places]
            row[after] = 0
            self._shifts[after, share] = row
        return row

    def _whole_shift(self, way: float) -> float:
        return SHIFT_COST + SHIFT_COST_PER_MM * way + self.leap * max(0.0, way - HAND_MM)

    def steps(self, fret: int, to_fret: int, time: int) -> list[list[tuple[int, int]]]:
        """To each finger at one fret from each at another: what its hurry costs, and how far the two stand apart."""
        key = fret, to_fret
        if key not in self._steps:
            self._steps[key] = self._measured(fret, to_fret)
        whole, hop, apart = self._steps[key]
        anywhere = self.hurry(whole, time)
        far, same = (anywhere, 0), (self.hurry(hop, time), SAME_FINGER_COST)
        steps = [[far] * len(_ALL) for _ in _ALL]
        for finger in _ALL:
            steps[finger][finger] = same
        for (finger, following), (needed, spread) in apart.items():
            if needed or spread or anywhere:
                steps[following][finger] = (self.hurry(needed, time) if needed else 0), spread
                if spread:
                    steps[finger][following] = anywhere, spread
        return steps

    def _measured(self, fret: int, to_fret: int) -> tuple[float, float, dict[tuple[int, int], tuple[float, int]]]:
        """The seconds of the whole way, and of a finger that hops; those between fingers that come in its order, and
        the cost of their spread.

        A leap farther than a hand reaches takes all of it along, whatever the fingers: no place is left early for it
        (common practice). Where leaps cost more besides, that is enough.
        """
        gap = self.neck.gap(fret, to_fret)
        apart = {}
        for (low, high), limit in self.profile.reach.items():
            beyond = gap - limit.comfort
            needed, spread = (self._needed(beyond, to_fret), SPREAD_COST_PER_MM * beyond) if beyond > 0 else (0.0, 0.0)
            unled = UNLED_COST * out_of_place(low, high, abs(to_fret - fret))
            measured = needed, int(spread) + unled
            apart[(low, high) if fret < to_fret else (high, low)] = measured
        if not self.leap and gap > self.profile.reach[1, FINGERS_OF_A_HAND].comfort:
            leap = self._needed(gap, to_fret)
            return leap, leap, {pair: (leap, spread) for pair, (_, spread) in apart.items()}
        return self._needed(gap, to_fret), self._needed(HOPPING * gap, to_fret), apart

    def _needed(self, travel_mm: float, fret: int) -> float:
        """As `needed_seconds`, by what is measured already."""
        target = self._targets.get(fret)
        if target is None:
            target = self._targets[fret] = target_mm(self.neck, fret)
        return self.profile.shift_seconds(travel_mm, target)

    def spread(self, finger: int, other: int, fret: int, other_fret: int) -> int:
        """What two fingers cost that stand farther apart than is comfortable."""
        if finger == other or THUMB in (finger, other):
            return 0
        gap = self.neck.gap(fret, other_fret)
        comfort = self.profile.reach[(min(finger, other), max(finger, other))].comfort
        return int(SPREAD_COST_PER_MM * (gap - comfort)) if gap > comfort else 0

    def hurry(self, needed: float, time: int) -> int:
        """What it costs that a way needs so many seconds of those that there are."""
        if not needed:
            return 0
        ratio = needed / SECONDS[time]
        if ratio <= SHIFT_LIMIT.comfort:
            return int(HURRY_COST * ratio)
        return int(HURRY_COST * min(ratio, 2)) + strain_weight(SHIFT_LIMIT.strain(ratio))

    def change(self, one: Grip, other: Grip, time: int, share: float = 1.0) -> int:
        """A hand that nothing holds goes from grip to grip; of a shift so much counts."""
        before, after = one.frets, other.frets
        row = self._changes.setdefault((after, other.position), {})
        needed = row.get(before)
        if needed is None:
            self._remembered += 1
            if self._remembered > MOST_WAYS:
                self._changes, self._remembered = {}, 0
            needed = row[before] = self._needed(self._farthest(before, after), other.position)
        return int(share * self.shift(one.position, other.position, time)) + self.hurry(needed, time)

    def _farthest(self, before: Frets, after: Frets) -> float:
        """As `farthest_travel`, by what is measured already."""
        farthest = 0.0
        for finger, fret in before:
            for following, to_fret in after:
                travels = self._travels.get((fret, to_fret)) or self._new_travels(fret, to_fret)
                way = travels[finger][following]
                farthest = max(farthest, way)
        return farthest

    def _new_travels(self, fret: int, to_fret: int) -> list[list[float]]:
        """From each finger at one fret to each at another, in millimetres."""
        fingers = range(1, THUMB + 1)
        travels: list[list[float]] = [[]] + [
            [0.0, *(travel(self.neck, self.profile, finger, fret, following, to_fret) for following in fingers)]
            for finger in fingers
        ]
        self._travels[fret, to_fret] = travels
        return travels
