"""Ties on the standard staff: each from a head to the one that goes on, in its own voice, through edges if need be."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from tabtools.engraving.arcs import Point, arc, lefts_of
from tabtools.engraving.scene import Scene
from tabtools.engraving.standard.graces import grace_places
from tabtools.engraving.standard.notated import ALONE, UPPER, StaffEvent, StaffHead
from tabtools.engraving.standard.sizes import HEAD, height

TIE, BOW = 6.0, 6.0
"""From the middle of a head to the ends of its tie, and how far that bows."""
INNER = 0.3
"""How near ties within a chord keep to their heads, which they stand beside."""
ASIDE = 2.0
FROM_NOWHERE = 20.0
"""How long the arc is that leads to a head from what is not drawn."""

Block = Callable[[float, float, float, float], None]
"""Keeps the room from left to right, from a height to another."""


class StaffTie(NamedTuple):
    """From a point to a point in pixels of a piece, beyond its edges if need be; it bows upwards where negative."""

    start: Point
    end: Point
    bow: float


class _Leaving(NamedTuple):
    """A tie that leaves a head of a piece, whose end is not known yet; `x` counts from the left of all pieces."""

    place: int
    x: float
    y: float
    bow: float
    aside: float


def trace_staff_ties(scenes: Sequence[Scene]) -> list[list[StaffTie]]:
    """The ties of each piece. Pieces must have been laid out."""
    ties: list[list[StaffTie]] = [[] for _ in scenes]
    lefts = lefts_of(scenes)
    leaving: dict[int, _Leaving] = {}
    for place, scene in enumerate(scenes):
        for event in scene.notation:
            x = scene.x_of(event.moment) + lefts[place]
            for one, inset in _tied_in(event):
                source = leaving.pop(one.head.index, None)
                if source is None and one.head.timed.origin is not None:
                    source = leaving.pop(one.head.timed.origin, None)
                if source is None:
                    start = lefts[place] + scene.staff - FROM_NOWHERE
                    source = _leaving(event, one, place, start)
                _join(ties, lefts, source, place, x - inset)
            for one in event.heads:
                if one.head.tied_out:
                    leaving[one.head.index] = _leaving(event, one, place, x)
    return ties


def _join(ties: list[list[StaffTie]], lefts: Sequence[float], source: _Leaving, place: int, end: float) -> None:
    for at in range(source.place, place + 1):
        left = source.x + source.aside - lefts[at], source.y
        right = end - source.aside - lefts[at], source.y
        ties[at].append(StaffTie(left, right, source.bow))


def _leaving(event: StaffEvent, one: StaffHead, place: int, x: float) -> _Leaving:
    """A tie away from the stem of a head, in a chord away from its middle, of two voices outwards."""
    steps = sorted(other.step for other in event.heads) or [one.step]
    is_over = not event.is_up if len(steps) == 1 else sum(step <= one.step for step in steps) > len(steps) / 2
    if event.voice != ALONE:
        is_over = event.voice == UPPER
    is_outer = one.step >= steps[-1] if is_over else one.step <= steps[0]
    way = -1 if is_over else 1
    y = height(one.step) + way * TIE * (1.0 if is_outer else INNER)
    return _Leaving(place, x, y, way * BOW, ASIDE if is_outer else HEAD + ASIDE)


def _tied_in(event: StaffEvent) -> Iterator[tuple[StaffHead, float]]:
    """The heads that a tie leads to, and how far left of the column of the event they stand: a grace note does."""
    places = grace_places(event)
    for column, place in zip((*event.graces, event.heads), (*places, 0.0), strict=True):
        for one in column:
            if one.head.tied_in:
                yield one, place


def draw_ties(scene: Scene, ties: Sequence[StaffTie], block: Block) -> Iterator[str]:
    """What a piece shows of its ties."""
    for tie in ties:
        left, right = max(tie.start[0], scene.staff), min(tie.end[0], scene.width)
        if right > left:
            y = tie.start[1]
            block(left, right, min(y, y + tie.bow), max(y, y + tie.bow))
        yield arc(scene, tie.start, tie.end, tie.bow, "tie")
