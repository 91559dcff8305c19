"""Hammer-ons, pull-offs, bends and slides on the standard staff: slurs and strokes from head to head."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tabtools.engraving.arcs import Point, arc, lefts_of
from tabtools.engraving.metrics import number
from tabtools.engraving.scene import Scene
from tabtools.engraving.standard.arcs import Block
from tabtools.engraving.standard.graces import grace_places
from tabtools.engraving.standard.notated import ALONE, UPPER, StaffEvent, StaffHead
from tabtools.engraving.standard.sizes import HEAD, height
from tabtools.score.heads import SLIDES

AWAY, BOW = 7.0, 6.0
"""From the middle of a head to the end of its slur, and how far that bows."""


@dataclass(frozen=True, slots=True)
class StaffMove:
    """A move from a point to a point in pixels of a piece, beyond its edges if need be."""

    sign: str
    start: Point
    end: Point
    is_over: bool


@dataclass(frozen=True, slots=True)
class _Home:
    """Where a note was last seen, counted from the left of all pieces."""

    scene: int
    x: float
    step: int
    right: float
    is_up: bool
    voice: int


def trace_staff_moves(scenes: Sequence[Scene]) -> list[list[StaffMove]]:
    """The moves of each piece. Pieces must have been laid out."""
    moves: list[list[StaffMove]] = [[] for _ in scenes]
    homes: dict[int, _Home] = {}
    lefts = lefts_of(scenes)
    for place, scene in enumerate(scenes):
        for event in scene.notation:
            x = scene.x_of(event.moment) + lefts[place]
            for one, before in _arrivals(event):
                origin = homes.get(one.head.timed.origin) if one.head.timed.origin is not None else None
                if origin is not None and one.head.reached_by:
                    right = HEAD if before else event.signs_left
                    target = _Home(place, x - before, one.step, right, event.is_up, event.voice)
                    _join(lefts, moves, origin, target, one.head.reached_by)
            for one in event.heads:
                homes[one.head.index] = _Home(place, x, one.step, event.right, event.is_up, event.voice)
    return moves


def _arrivals(event: StaffEvent) -> Iterator[tuple[StaffHead, float]]:
    """The first head of each note that begins here, and how far left of its column it stands."""
    columns = zip((*event.graces, event.heads), (*grace_places(event), 0.0), strict=True)
    for column, place in columns:
        for one in column:
            if one.head.struck and one.shape != "unknown":
                yield one, place


def _join(lefts: Sequence[float], moves: list[list[StaffMove]], origin: _Home, target: _Home, sign: str) -> None:
    is_over = not (origin.is_up and target.is_up) if target.voice == ALONE else target.voice == UPPER
    way = -1 if is_over else 1
    gap = 0.0 if sign in SLIDES else way * AWAY
    left = origin.x + (0.0 if gap else origin.right + 1.5)
    right = target.x - (0.0 if gap else target.right + 1.5)
    for place in range(origin.scene, target.scene + 1):
        start = left - lefts[place], height(origin.step) + gap
        end = right - lefts[place], height(target.step) + gap
        if right > left:
            moves[place].append(StaffMove(sign, start, end, is_over))


def draw_moves(scene: Scene, moves: Sequence[StaffMove], block: Block) -> Iterator[str]:
    """Slurs, and strokes for slides."""
    for move in moves:
        (start, first), (end, last) = move.start, move.end
        left, right = max(start, scene.staff), min(end, scene.width)
        if right <= left:
            continue
        if move.sign in SLIDES:
            rise = (2.5 if move.sign == "/" else -2.5) if first == last else 0.0
            first, last = first + rise, last - rise
            from_y, to_y = (first + (last - first) * (x - start) / (end - start) for x in (left, right))
            yield (
                f'<line class="tt-line" x1="{scene.at(left)}" x2="{scene.at(right)}" '
                f'y1="{number(from_y)}" y2="{number(to_y)}"/>'
            )
            continue
        bow = -BOW if move.is_over else BOW
        block(left, right, min(first, last, first + bow, last + bow), max(first, last, first + bow, last + bow))
        yield arc(scene, move.start, move.end, bow, "slur")


def grace_moves(event: StaffEvent) -> str:
    """What leads from each grace note to what its string plays next, in pixels around the column."""
    places = [-place for place in grace_places(event)]
    columns = [*event.graces, event.heads]
    drawn = []
    for at, column in enumerate(event.graces):
        x, next_x = places[at], (*places, 0.0)[at + 1]
        for one in column:
            following = next((other for other in columns[at + 1] if other.head.index == one.head.index), None)
            if following is None or not one.head.left_by:
                continue
            y, next_y = height(one.step), height(following.step)
            if one.head.left_by[0] in SLIDES:
                aside = event.signs_left if at + 1 == len(places) else HEAD
                ends = f"M{number(x + 4.5)} {number(y)}L{number(next_x - aside - 1)} {number(next_y)}"
                drawn.append(f'<path class="tt-line" d="{ends}"/>')
            else:
                drawn.append(_small_slur(x, y + 5, next_x - 1, next_y + 6.5))
    return "".join(drawn)


def _small_slur(x: float, y: float, to_x: float, to_y: float) -> str:
    low, middle = max(y, to_y) + 5, (x + to_x) / 2
    return (
        f'<path class="tt-ink" d="M{number(x)} {number(y)}Q{number(middle)} {number(low)} {number(to_x)} {number(to_y)}'
        f'Q{number(middle)} {number(low - 2)} {number(x)} {number(y)}Z"/>'
    )
