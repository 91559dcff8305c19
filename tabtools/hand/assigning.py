"""Which fingers the stops of a grip can be given to: in the order of the frets, and barring where one can.

On one fret the stops come from the lowest string to the highest. What fingers they can have depends on how each stands
to the one before alone: on another fret, on the same, or under the same finger.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations, pairwise
from operator import itemgetter
from typing import NamedTuple, Protocol

from tabtools.hand.stance import FINGERS_OF_A_HAND, THUMB, Frets

FURTHER, BESIDE, BARRED = range(3)
"""How a stop stands to the one before: on a further fret, beside it, or where one finger takes both."""


class Assigned(NamedTuple):
    """Fingers of the stops of a shape, those that are down, each with its fret, in order.

    `inversions` counts the pairs on one fret of which the higher finger is on the lower string.
    """

    fingers: tuple[int, ...]
    down: Frets
    inversions: int


class _Stopped(Protocol):
    """A place held down, perhaps by a finger that is declared."""

    @property
    def string(self) -> int: ...
    @property
    def fret(self) -> int: ...
    @property
    def declared(self) -> int: ...


class Assigning:
    """Some of the stops of a shape in the order of their fingers, those under the thumb last."""

    __slots__ = ("_order", "_stops", "_thumbs", "fewest", "steps")

    def __init__(self, stops: Sequence[_Stopped], kept: Sequence[int], opens: Sequence[int]):
        self._stops = stops
        every = sorted([(stops[index].fret, -stops[index].string, index) for index in kept])
        self._order = [index for _, _, index in every if stops[index].declared != THUMB]
        self._thumbs = sorted([index for _, _, index in every if stops[index].declared == THUMB])
        self.steps = _steps(stops, kept, self._order, opens)
        self.fewest = len(self.steps) - self.steps.count(BARRED)

    def assignments(self) -> list[Assigned]:
        """Every way to give fingers to these stops, 0 to all others; those declared are kept even where they cross."""
        stops = self._stops
        order = [*self._order, *self._thumbs]
        frets = [stops[index].fret for index in order]
        thumbs = (THUMB,) * len(self._thumbs)
        at = dict(zip(order, range(len(order)), strict=True))
        placed = itemgetter(*[at.get(index, len(order)) for index in range(len(stops))])
        every = []
        for way, inversions in _ways(self.steps):
            fingers = way + thumbs
            down = dict(zip(fingers, frets, strict=True)).items()
            every.append(Assigned(placed((*fingers, 0)), tuple(sorted(down) if inversions else down), inversions))
        declared = [(index, stops[index].declared) for index in self._order if stops[index].declared]
        if not declared:
            return every
        fitting = [one for one in every if all(one.fingers[index] == finger for index, finger in declared)]
        return fitting or [self._as_declared(one.fingers) for one in every]

    def _as_declared(self, fingers: tuple[int, ...]) -> Assigned:
        """These fingers, those that are declared in the place of others."""
        given = tuple(
            [(stop.declared or finger) if finger else 0 for stop, finger in zip(self._stops, fingers, strict=True)]
        )
        held = [(stop.fret, finger) for stop, finger in zip(self._stops, given, strict=True) if finger]
        inversions = sum(one[0] == other[0] and one[1] < other[1] < THUMB for one, other in combinations(held, 2))
        return Assigned(given, tuple(sorted({finger: fret for fret, finger in held}.items())), inversions)


def _steps(
    stops: Sequence[_Stopped], kept: Sequence[int], order: Sequence[int], opens: Sequence[int]
) -> tuple[int, ...]:
    """How each stop stands to the one before."""
    frets = [stops[index].fret for index in order]
    if len(set(frets)) == len(frets):
        return (FURTHER,) * len(frets)
    lowest = {stops[index].string: stops[index].fret for index in kept} | dict.fromkeys(opens, 0)
    steps = [FURTHER]
    for one, other in pairwise(order):
        fret = stops[other].fret
        if stops[one].fret != fret:
            steps.append(FURTHER)
        else:
            between = range(stops[other].string + 1, stops[one].string)
            steps.append(BARRED if all(lowest.get(string, fret) >= fret for string in between) else BESIDE)
    return tuple(steps)


@lru_cache(maxsize=1024)
def _ways(steps: tuple[int, ...]) -> tuple[tuple[tuple[int, ...], int], ...]:
    """Every way to give fingers to stops that stand so, in the order of their fingers, with its inversions."""
    ways: list[tuple[int, ...]] = [()]
    for step in steps:
        ways = [
            (*way, finger)
            for way in ways
            for finger in range((way[-1] if way else 0) + (step != BARRED), FINGERS_OF_A_HAND + 1)
        ]
    return tuple([(given, _inversions(given, steps)) for way in ways for given in _either_way(way, steps)])


def _either_way(way: tuple[int, ...], steps: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """The fingers as given, and with two neighbours on one fret the other way round."""
    yield way
    for after, step in enumerate(steps):
        if step != FURTHER and way.count(way[after]) == way.count(way[after - 1]) == 1:
            yield (*way[: after - 1], way[after], way[after - 1], *way[after + 1 :])


def _inversions(way: tuple[int, ...], steps: tuple[int, ...]) -> int:
    """Pairs on one fret of which the stop on the lower string, the earlier, has the higher finger."""
    count = 0
    for after, finger in enumerate(way):
        before = after
        while steps[before] != FURTHER:
            before -= 1
            count += finger < way[before]
    return count
