"""From one grip to the next: what the change costs, and how hard it is in the time there is.

A hand moves freely between two strokes unless something ties it: a string that goes on sounding keeps its
finger, a hammer-on or pull-off is done by two fingers of one hand position, a slide carries one finger along.
Times are taken in classes a fifth apart, so that moves can be remembered.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import IntEnum
from functools import partial
from typing import Protocol

from tabtools.hand.grip import (
    BARELY,
    IMPOSSIBLE_LEVEL,
    SPREAD_COST_PER_MM,
    THUMB,
    Grip,
    Shape,
    Stop,
    level_weight,
    slur_strain,
    strain_weight,
)
from tabtools.hand.neck import Neck
from tabtools.hand.profile import SHIFT_LIMIT, HandProfile

SHIFT_COST, SHIFT_COST_PER_MM, HURRY_COST = 240, 1, 150
LEISURE_SECONDS, LEISURE_SHARE = 1.0, 0.4
"""After a second of rest a shift counts less than half: each phrase finds its own place."""

RESETTLE_COST = 100
"""A fret that the first finger's place moves while another finger stays where it is."""

ROLL_COST, HOP_COST = 20, 60
"""One finger to the next string on its fret, or farther."""

SUBSTITUTION_COST, BESIDE_COST, DISORDER_COST = 80, 40, 10
"""Another finger on the same place; beside it on the next string; there against the order of the fingers."""

SAME_FINGER_COST = 80
PLACE_COST, PLACE_COST_PER_STRING = 15, 5

GUIDED_SHARE = 0.2
"""A shift counts less where a finger stays on its string and leads the way (common practice)."""

OTHER_FINGERS_COST = 400
"""Other fingers for a grip that moves along the neck as it is: octaves keep their pair (common practice)."""

BUSY_COST = 150
"""A finger that hammers on while it has only just left another place; none can so wait for a pull-off."""

SLIDE_COST, SLIDE_COST_PER_MM = 20, 0.5

SHORTEST, CLASSES_PER_OCTAVE, LAST_CLASS = 0.02, 4, 24

LET_GO = level_weight(BARELY)
"""A string that is marked to ring is stopped early."""

IMPOSSIBLE = level_weight(IMPOSSIBLE_LEVEL)
MOST_SHAPES, MOST_COSTS = 10_000, 1_000_000
"""How much is remembered before it is let go: shapes, and single costs of moves (some 50 MB)."""


class _OnString(Protocol):
    """A finger on a place."""

    @property
    def string(self) -> int: ...
    @property
    def fret(self) -> int: ...


class Tie(IntEnum):
    """What ties a stop to the one before it on its string."""

    NONE = 0
    HELD = 1
    LEGATO = 2
    SLIDE = 3


Ties = tuple[tuple[Tie, int, int], ...]
"""(tie, index among the stops before, index among the stops after)."""

ShapeKey = tuple[int, int, int] | tuple[tuple[Stop, ...], tuple[int, ...]]
ColumnsKey = tuple[int, int, int, int, Ties]

Stops = tuple[Stop, ...]

Columns = list[list[int]]
"""For each grip after, the cost from each grip before, its own cost included."""


def time_class(seconds: float) -> int:
    """Times as classes, four to the doubling, from 20 ms to 1.3 s."""
    if seconds <= SHORTEST:
        return 0
    return min(LAST_CLASS, int(CLASSES_PER_OCTAVE * math.log2(seconds / SHORTEST)))


def class_seconds(time: int) -> float:
    """The middle of a class."""
    return SHORTEST * 2 ** ((time + 0.5) / CLASSES_PER_OCTAVE)


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


def farthest_travel(neck: Neck, profile: HandProfile, before: Grip, after: Grip) -> float:
    """The longest way that any finger of a grip has from the grip before."""
    ways = [
        travel(neck, profile, finger, fret, following, to_fret)
        for finger, fret in before.frets
        for following, to_fret in after.frets
    ]
    return max(ways, default=0.0)


def is_bound(ties: Ties, one: Grip, other: Grip) -> bool:
    """Whether a finger ties the hand to its place: one that stays, slurs or slides."""
    return any(one.fingers[index] and other.fingers[following] for _, index, following in ties)


def needed_seconds(neck: Neck, profile: HandProfile, travel_mm: float, fret: int) -> float:
    """The time a hand needs for such a way to a fret; the target is half the fret's width."""
    return profile.shift_seconds(travel_mm, neck.fret_width(fret) / 2)


def strings_between(before: Sequence[_OnString], after: Sequence[_OnString]) -> int:
    """What strings have to do with a move, as far as it matters.

    For two single notes at one fret, how many strings the second lies lower, two at most; where one of both is single,
    its string, which its shape does not know; 0 otherwise.
    """
    if len(before) == len(after) == 1:
        one, other = before[0], after[0]
        return max(-2, min(2, other.string - one.string)) if one.fret == other.fret else 0
    return before[0].string if len(before) == 1 else after[0].string if len(after) == 1 else 0


def _on_string(before: Shape, after: Shape, string: int) -> tuple[Stops, Stops]:
    """The stops of two shapes, a single one on its string: shapes of single notes are the same on every string."""
    one, other = before.stops, after.stops
    if len(one) == 1:
        return (one[0]._replace(string=string),), other
    return one, (other[0]._replace(string=string),) if len(other) == 1 else other


class Moves:
    """The shapes and moves of one neck and one player, each worked out once.

    `most_grips` is how many of the best grips are looked at where several strings are held; all where it is None.
    """

    def __init__(self, neck: Neck, profile: HandProfile, most_grips: int | None = None):
        self.neck = neck
        self.profile = profile
        self.most_grips = most_grips
        self._numbers = 0
        self._shapes: dict[ShapeKey, Shape] = {}
        self._columns: dict[ColumnsKey, Columns] = {}
        self._remembered = 0
        self._shifts: dict[tuple[int, int, int], int] = {}

    def shape(self, stops: tuple[Stop, ...], opens: tuple[int, ...] = ()) -> Shape:
        """The shape of these stops (in order of strings) while these open strings sound."""
        key = (stops, opens)
        return self._shapes.get(key) or self._new_shape(key, stops, opens)

    def single(self, string: int, fret: int, declared: int, force: int) -> Shape:
        """The shape of one stop: the same on every string."""
        key = (fret, declared, force)
        return self._shapes.get(key) or self._new_shape(key, (Stop(string, fret, declared, force),), ())

    def _new_shape(self, key: ShapeKey, stops: tuple[Stop, ...], opens: tuple[int, ...]) -> Shape:
        self._numbers += 1
        if len(self._shapes) >= MOST_SHAPES:
            self._shapes.clear()
        shape = self._shapes[key] = Shape(self._numbers, stops, opens, self.neck, self.profile)
        if self.most_grips is not None and len(stops) > 1:
            del shape.grips[self.most_grips :], shape.costs[self.most_grips :]
        return shape

    def columns(self, before: Shape, after: Shape, strings: int, time: int, ties: Ties) -> Columns:
        """The costs from each grip of one shape to each of the next, in the time of a class.

        `strings` is what `strings_between` says of them.
        """
        key = (before.id, after.id, strings, time, ties)
        columns = self._columns.get(key)
        if columns is None:
            self._remembered += len(before.grips) * len(after.grips)
            if self._remembered > MOST_COSTS:
                self._columns.clear()
                self._remembered = len(before.grips) * len(after.grips)
            columns = self._columns[key] = self._build(before, after, strings, time, ties)
        return columns

    def _build(self, before: Shape, after: Shape, strings: int, time: int, ties: Ties) -> Columns:
        frets = before.stops[0].fret, after.stops[0].fret
        if len(before.stops) > 1 or len(after.stops) > 1:
            stops = _on_string(before, after, strings)
            change = partial(self._change, *stops, _moves_along(*stops), time, ties)
        elif not ties:
            return self._steps(before, after, frets, strings, time)
        else:
            tied = {Tie.HELD: self._stay, Tie.LEGATO: self._legato, Tie.SLIDE: self._slide}[ties[0][0]]
            change = partial(tied, 0, 0, frets)
        return [
            [change(one, other) + cost for one in before.grips]
            for other, cost in zip(after.grips, after.costs, strict=True)
        ]

    def _steps(self, before: Shape, after: Shape, frets: tuple[int, int], strings: int, time: int) -> Columns:
        """From a single note to another: what the fingers cost is the same in every position, but for a shift."""
        pairs: dict[tuple[int, int], tuple[int, int]] = {}
        columns = []
        for other, cost in zip(after.grips, after.costs, strict=True):
            following, column = other.fingers[0], []
            for one in before.grips:
                pair = one.fingers[0], following
                if pair not in pairs:
                    pairs[pair] = self._step(*pair, frets, strings, time)
                anywhere, in_position = pairs[pair]
                shift = self.shift(one.position, other.position, time)
                column.append(cost + anywhere + (shift or in_position))
            columns.append(column)
        return columns

    def shift(self, before: int, after: int, time: int) -> int:
        """The first finger's place moves along the neck, nothing holding the hand."""
        if before == after:
            return 0
        key = (before, after, time)
        cost = self._shifts.get(key)
        if cost is None:
            rest = (class_seconds(time) - LEISURE_SECONDS / 4) / (LEISURE_SECONDS * 3 / 4)
            share = 1 - (1 - LEISURE_SHARE) * min(1.0, max(0.0, rest))
            cost = self._shifts[key] = int(share * (SHIFT_COST + SHIFT_COST_PER_MM * self.neck.gap(before, after)))
        return cost

    def _hurry(self, travel_mm: float, fret: int, time: int) -> int:
        """A finger has so far to go in so little time."""
        if not travel_mm:
            return 0
        ratio = needed_seconds(self.neck, self.profile, travel_mm, fret) / class_seconds(time)
        return int(HURRY_COST * min(ratio, 2)) + strain_weight(SHIFT_LIMIT.strain(ratio))

    def _step(self, finger: int, following: int, frets: tuple[int, int], strings: int, time: int) -> tuple[int, int]:
        """What two fingers one after the other cost: anywhere, and besides where the hand stays in position."""
        if frets[0] == frets[1]:
            if finger == following:
                return (0, ROLL_COST, HOP_COST)[abs(strings)], 0
            if not strings:
                return SUBSTITUTION_COST, 0
            return BESIDE_COST + (DISORDER_COST if (strings > 0) == (following > finger) else 0), 0
        way = travel(self.neck, self.profile, finger, frets[0], following, frets[1])
        in_position = SAME_FINGER_COST if finger == following else self._spread(finger, following, frets)
        return self._hurry(way, frets[1], time), in_position

    def _spread(self, finger: int, other: int, frets: tuple[int, int]) -> int:
        """What two fingers cost that stand farther apart than is comfortable."""
        if finger == other or THUMB in (finger, other):
            return 0
        gap = self.neck.gap(*frets)
        comfort = self.profile.reach[(min(finger, other), max(finger, other))].comfort
        return int(SPREAD_COST_PER_MM * (gap - comfort)) if gap > comfort else 0

    def _resettle(self, one: Grip, other: Grip) -> int:
        return RESETTLE_COST * abs(one.position - other.position)

    def _stay(self, index: int, following: int, _: tuple[int, int], one: Grip, other: Grip) -> int:
        """A string goes on sounding under its finger."""
        finger, next_finger = one.fingers[index], other.fingers[following]
        if finger == next_finger:
            return self._resettle(one, other)
        return LET_GO if not next_finger else IMPOSSIBLE

    def _legato(self, index: int, following: int, frets: tuple[int, int], one: Grip, other: Grip) -> int:
        """Two fingers of one hand on one string, the higher finger on the higher fret."""
        finger, next_finger = one.fingers[index], other.fingers[following]
        if finger == next_finger or (next_finger > finger) != (frets[1] > frets[0]):
            return IMPOSSIBLE
        strain = slur_strain(finger, next_finger, self.neck.gap(*frets), self.profile)
        return self._resettle(one, other) + self._spread(finger, next_finger, frets) + strain_weight(strain)

    def _waiting(self, before: Stops, one: Grip, finger: int, fret: int) -> int:
        """A finger waits for a pull-off while the grip before is still held: it must be free and not cross."""
        for stop, held in zip(before, one.fingers, strict=True):
            if held == finger or (held and (held < finger) != (stop.fret <= fret) and stop.fret != fret):
                return IMPOSSIBLE
        return 0

    def _slide(self, index: int, following: int, frets: tuple[int, int], one: Grip, other: Grip) -> int:
        """One finger stays on its string and takes the hand along."""
        if one.fingers[index] != other.fingers[following]:
            return IMPOSSIBLE
        out_of_place = abs((frets[0] - one.position) - (frets[1] - other.position))
        return int(SLIDE_COST + SLIDE_COST_PER_MM * self.neck.gap(*frets)) + RESETTLE_COST * out_of_place

    def _change(
        self, before: Stops, after: Stops, moves_along: bool, time: int, ties: Ties, one: Grip, other: Grip
    ) -> int:
        """From one grip to another where at least one of them holds several strings.

        One impossibility is as bad as several.
        """
        cost = 0
        tied = set()
        for tie, index, following in ties:
            tied.add(following)
            frets = before[index].fret, after[following].fret
            if tie == Tie.HELD:
                cost += self._stay(index, following, frets, one, other)
            elif not one.fingers[index] or not other.fingers[following]:
                continue
            elif tie == Tie.LEGATO:
                cost += self._legato(index, following, frets, one, other)
                if frets[1] < frets[0]:
                    cost += self._waiting(before, one, other.fingers[following], frets[1])
                elif other.fingers[following] in one.fingers:
                    cost += BUSY_COST
            else:
                cost += self._slide(index, following, frets, one, other)
            if cost >= IMPOSSIBLE:
                return IMPOSSIBLE
        was = dict(zip(one.fingers, before, strict=True))
        is_guided = False
        for following, finger in enumerate(other.fingers):
            if finger and finger in was and following not in tied:
                old, new = was[finger], after[following]
                if old.string != new.string:
                    cost += PLACE_COST + PLACE_COST_PER_STRING * abs(old.string - new.string)
                elif old.fret != new.fret:
                    cost += PLACE_COST if len(other.frets) > 1 else SAME_FINGER_COST
                    is_guided = True
        if not is_bound(ties, one, other):
            way = farthest_travel(self.neck, self.profile, one, other)
            shift = self.shift(one.position, other.position, time)
            cost += (int(GUIDED_SHARE * shift) if is_guided else shift) + self._hurry(way, other.position, time)
        if moves_along and one.fingers != other.fingers and len(one.frets) == len(other.frets) > 1:
            cost += OTHER_FINGERS_COST
        return cost


def _moves_along(before: Stops, after: Stops) -> bool:
    """Whether the same strings are held as far apart as before, at other frets."""
    ways = {new.fret - old.fret if new.string == old.string else 0 for old, new in zip(before, after, strict=False)}
    return len(before) == len(after) > 1 and len(ways) == 1 and 0 not in ways
