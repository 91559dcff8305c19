"""From one grip to the next: what the change costs, and how hard it is in the time there is.

A hand moves freely between two strokes unless something ties it: a string that goes on sounding keeps its
finger, a hammer-on or pull-off is done by two fingers of one hand position, a slide carries one finger along.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from tabtools.hand.changes import Changes, FewChanges, Stops
from tabtools.hand.grip import Shape, Stop
from tabtools.hand.neck import Neck
from tabtools.hand.profile import HandProfile
from tabtools.hand.stance import THUMB, Stances
from tabtools.hand.steps import Fingers, Slur, Steps
from tabtools.hand.ties import Ties
from tabtools.hand.ways import Ways

ROLL_COST, HOP_COST = 20, 60
"""One finger to the next string on its fret, or farther."""

SUBSTITUTION_COST, BESIDE_COST, DISORDER_COST = 80, 40, 10
"""Another finger on the same place; beside it on the next string; there against the order of the fingers."""

BENDING_FINGER = 3
"""In a box the third finger takes the note before a bend and the bend a fret beside it (common practice)."""

FEW_WAYS = 64
"""So many ways from grips to grips are all worked out at once, where all grips are looked at; of more those that
matter, as they come up."""

MOST_SHAPES, MOST_COSTS = 10_000, 1_000_000
"""How much is remembered before it is let go: shapes, and single costs of moves (some 50 MB)."""


class _OnString(Protocol):
    """A finger on a place."""

    @property
    def string(self) -> int: ...
    @property
    def fret(self) -> int: ...


ShapeKey = tuple[int, int, int] | tuple[tuple[Stop, ...], tuple[int, ...]]
MoveKey = tuple[int, int, int, int, Ties]


class Transition(Protocol):
    """From the grips of one shape to those of another."""

    def reach(self, values: Sequence[int]) -> list[int]:
        """The least cost of each grip after, by the costs so far of those before."""

    def better(self, values: Sequence[int], cost: int, known: list[int]) -> list[int]:
        """The least cost of each grip after by this way and `cost` besides, or as `known` where that is no more."""

    def column(self, grip: int) -> list[int]:
        """What it costs to come to a grip from each before, its own cost included."""


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
    if len(one) == len(other) == 1:
        return one, other
    if len(one) == 1:
        return (one[0]._replace(string=string),), other
    return one, (other[0]._replace(string=string),) if len(other) == 1 else other


class Moves:
    """The shapes and moves of one neck and one player, each worked out once.

    `most_grips` is how many of the best grips are looked at where several strings are held; all where it is None.
    `leap` is what leaps cost besides (see `Ways`).
    """

    def __init__(self, neck: Neck, profile: HandProfile, most_grips: int | None = None, leap: int = 0):
        self.neck = neck
        self.profile = profile
        self.most_grips = most_grips
        self._numbers = 0
        self._shapes: dict[ShapeKey, Shape] = {}
        self._moves: dict[MoveKey, Transition] = {}
        self._remembered = 0
        self.ways = Ways(neck, profile, leap)
        self.stances = Stances(neck, profile)

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
        shape = self._shapes[key] = Shape(self._numbers, stops, opens, self.stances, self.most_grips)
        return shape

    def move(self, before: Shape, after: Shape, strings: int, time: int, ties: Ties) -> Transition:
        """From the grips of one shape to those of the next, in the time of a class.

        `strings` is what `strings_between` says of them.
        """
        key = (before.id, after.id, strings, time, ties)
        move = self._moves.get(key)
        if move is None:
            self._remembered += len(before.grips) * len(after.grips)
            if self._remembered > MOST_COSTS:
                self._moves.clear()
                self._remembered = len(before.grips) * len(after.grips)
            move = self._moves[key] = self._new_move(before, after, strings, time, ties)
        return move

    def _new_move(self, before: Shape, after: Shape, strings: int, time: int, ties: Ties) -> Transition:
        if len(before.stops) == len(after.stops) == len(ties) == 1:
            return Slur(before, after, ties[0][0], self.ways)
        if ties or len(before.stops) > 1 or len(after.stops) > 1:
            changes = Changes(before, after, _on_string(before, after, strings), time, ties, self.ways)
            is_few = self.most_grips is None and len(before.grips) * len(after.grips) <= FEW_WAYS
            return FewChanges(before, after, changes) if is_few else changes
        return self._steps(before, after, strings, time)

    def _steps(self, before: Shape, after: Shape, strings: int, time: int) -> Steps:
        """From a single note to another: what the fingers cost is the same in every position, but for a shift."""
        fret, to_fret = before.stops[0].fret, after.stops[0].fret
        fingers: Fingers = _ON_ONE_FRET[strings] if fret == to_fret else self.ways.steps(fret, to_fret, time)
        if after.stops[0].force and abs(to_fret - fret) == 1:
            fingers = _going_on_to_bend(fingers)
        return Steps(before, after, fingers, time, self.ways)


def _going_on_to_bend(fingers: Fingers) -> Fingers:
    """The same ways, but that the finger which bends goes on to the next fret for it as any other would."""
    ways = [list(befores) for befores in fingers]
    ways[BENDING_FINGER][BENDING_FINGER] = (0, 0)
    return ways


def _on_one_fret(finger: int, following: int, strings: int) -> int:
    """From finger to finger on one fret, the second so many strings lower."""
    if finger == following:
        return (0, ROLL_COST, HOP_COST)[abs(strings)]
    if not strings:
        return SUBSTITUTION_COST
    return BESIDE_COST + (DISORDER_COST if (strings > 0) == (following > finger) else 0)


_FINGERS = range(THUMB + 1)
_ON_ONE_FRET = {
    strings: [[(_on_one_fret(finger, following, strings), 0) for finger in _FINGERS] for following in _FINGERS]
    for strings in range(-2, 3)
}
