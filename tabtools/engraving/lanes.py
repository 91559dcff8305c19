"""What stands above the staff, stacked so that nothing touches."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from tabtools.engraving.metrics import number, percent
from tabtools.engraving.scene import Scene

FLOOR = 8.0


class Skyline:
    """How high the drawing reaches over each stretch of a bar, in pixels above the line of string 1.

    The pieces of a bar share the `boxes` of what stands over it, each from its own `left`; `top` is the piece's own.
    """

    def __init__(self, boxes: list[tuple[float, float, float]] | None = None, left: float = 0.0) -> None:
        self.boxes = [] if boxes is None else boxes
        self.left = left
        self.top = FLOOR

    def block(self, start: float, end: float, height: float) -> None:
        """Something stands there up to that height."""
        self.boxes.append((start + self.left, end + self.left, height))
        self.top = max(self.top, height)

    def height(self, start: float, end: float) -> float:
        """How high one must go to stand free between two places."""
        first, last = start + self.left, end + self.left
        return max([FLOOR, *(height for left, right, height in self.boxes if left < last and right > first)])

    def place(self, start: float, end: float, size: float, draw: Callable[[float], str]) -> str:
        """Put something of this size as low as it fits; `draw` is told the height of its foot (negative: above)."""
        foot = self.height(start, end) + 2
        self.block(start, end, foot + size)
        return draw(-foot)


class Standing(NamedTuple):
    """Something to be placed over a stretch of a piece; `draw` is told the height of its foot (negative: above)."""

    skyline: Skyline
    start: float
    end: float
    draw: Callable[[float], str]


def on_one_line(row: Sequence[Standing], size: float) -> list[str]:
    """All of a row at one height, as low as the highest of them fits, each this high."""
    foot = max((one.skyline.height(one.start, one.end) for one in row), default=0.0) + 2
    for one in row:
        one.skyline.block(one.start, one.end, foot + size)
    return [one.draw(-foot) for one in row]


def text_at(x: str, y: float, text: str, kind: str, dx: float = 0) -> str:
    """A text whose anchor is a share of the width, `dx` pixels aside."""
    aside = f' dx="{number(dx)}"' if dx else ""
    return f'<text class="{kind}" x="{x}" y="{number(y)}"{aside}>{text}</text>'


def line_between(
    scene: Scene,
    start: tuple[int | None, float],
    end: tuple[int | None, float],
    start_y: float,
    end_y: float,
    kind: str,
) -> str:
    """A line between two places, each a column (None: the edge of the bar) and a place in pixels near it.

    However far the bar is stretched, its ends keep their distance from their columns.
    """
    (first, x1), (last, x2) = start, end
    left = scene.staff if first is None else scene.xs[first]
    right = scene.width if last is None else scene.xs[last]
    before, after = x1 - left, x2 - right
    share = (right - left) / scene.width
    moved = f' transform="translate({number(after)})"' if number(after) != "0" else ""
    return (
        f'<svg x="{scene.at(left)}" width="{percent(share)}"><line class="{kind}" x1="{number(before - after)}" '
        f'x2="100%" y1="{number(start_y)}" y2="{number(end_y)}"{moved}/></svg>'
    )
