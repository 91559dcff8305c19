"""Ties and slurs: tapered arcs that only grow longer as their bar is stretched.

An arc that crosses an edge is drawn on both sides as the part of it that lies there, so that both join as one line.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from tabtools.engraving.metrics import number, percent
from tabtools.engraving.scene import Scene

SHOULDER = 0.22
"""Where along an arc the points stand that draw it up, from either end."""
THICK = 1.6
OVERLAP = 0.4
"""By how many pixels both parts of an arc reach over the edge between them: no light shines through."""
HALVINGS = 30

Point = tuple[float, float]


class Arc(NamedTuple):
    """From a point to a point, in pixels of the piece that shows it; what lies beyond an edge of that is not drawn."""

    start: Point
    end: Point


def lefts_of(scenes: Sequence[Scene]) -> list[float]:
    """Where the pieces begin that stand side by side on a page as wide as all of them together."""
    lefts = [0.0]
    for before, after in pairwise(scenes):
        lefts.append(lefts[-1] + before.width - after.staff)
    return lefts


def arc(scene: Scene, start: Point, end: Point, bow: float, kind: str = "") -> str:
    """What a piece shows of an arc that bows by so many pixels, upwards where negative; empty where it shows nothing.

    Start and end may lie beyond the edges of the piece.
    """
    left, right = max(start[0], scene.staff), min(end[0], scene.width)
    if right - left < 1:
        return ""
    whole = end[0] - start[0]
    first = 0.0 if left == start[0] else (left - OVERLAP - start[0]) / whole
    last = 1.0 if right == end[0] else (right + OVERLAP - start[0]) / whole
    (_, from_y), (_, to_y) = start, end
    crest = (min if bow < 0 else max)(from_y, to_y) + bow
    inner = crest + (THICK if bow < 0 else -THICK)
    there = _part((from_y, crest, crest, to_y), first, last)
    back = _part((from_y, inner, inner, to_y), first, last)
    top = min(point[1] for point in (*there, *back))
    size = max(point[1] for point in (*there, *back)) - top
    shares = (left - start[0]) / whole, (right - start[0]) / whole
    said = [_placed(point, shares, top) for point in (*there, *reversed(back))]
    path = f"M{said[0]}C{said[1]} {said[2]} {said[3]}L{said[4]}C{said[5]} {said[6]} {said[7]}Z"
    named = f' class="{kind}"' if kind else ""
    return (
        f'<svg{named} x="{scene.at(left)}" y="{number(top)}" width="{percent((right - left) / scene.width)}" '
        f'height="{number(size)}" viewBox="0 0 100 {number(size)}" preserveAspectRatio="none">'
        f'<path class="tt-ink" d="{path}"/></svg>'
    )


def _placed(point: Point, shares: tuple[float, float], top: float) -> str:
    """A point, along the arc as a share of it, in hundredths of the part from one share to another."""
    first, last = shares
    return f"{number((point[0] - first) / (last - first) * 100)} {round(point[1] - top, 2):g}"


def _part(ys: Sequence[float], first: float, last: float) -> list[Point]:
    """The four points of a curve between two shares of its length; the whole has its points at these heights."""
    points = list(zip((0.0, SHOULDER, 1 - SHOULDER, 1.0), ys, strict=True))
    if last < 1.0:
        points = _halved(points, _moment(last))[0]
    if first > 0.0:
        whole = 1.0 if last >= 1.0 else _moment(last)
        points = _halved(points, _moment(first) / whole)[1]
    return points


def _moment(share: float) -> float:
    """How far one has gone along a curve that has come to a share of its length."""
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        over = 3 * middle * (1 - middle) * ((1 - middle) * SHOULDER + middle * (1 - SHOULDER)) + middle**3
        low, high = (middle, high) if over < share else (low, middle)
    return low


def _halved(points: Sequence[Point], moment: float) -> tuple[list[Point], list[Point]]:
    """A curve cut in two (Paul de Casteljau's way)."""
    before, after = [points[0]], [points[-1]]
    while len(points) > 1:
        points = [
            (here[0] + (there[0] - here[0]) * moment, here[1] + (there[1] - here[1]) * moment)
            for here, there in pairwise(points)
        ]
        before.append(points[0])
        after.insert(0, points[-1])
    return before, after
