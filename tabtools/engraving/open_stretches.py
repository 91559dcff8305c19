"""Stretches of which not all is known: what cannot be made out is hatched, a doubtful rhythm stands over a bracket.

Both go through bar lines and over the cuts of a wide bar. A hatching is one slanted line of broad dashes, which prints
as lines: a pattern would print as grey pixels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tabtools.engraving.lanes import text_at
from tabtools.engraving.metrics import STEM_BOTTOM, STRING_GAP, number, percent
from tabtools.engraving.open_notes import UNHEARD_HALF
from tabtools.engraving.scene import Scene
from tabtools.timeline import TimedNote

ROUND = 3.0
"""By how much a hatching reaches over the outer strings."""
CLEAR = 4.0
BRACKET = STEM_BOTTOM - 5
HOOK = 6.0
INSTANT = 1e-9


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of a piece of a bar, in pixels; it goes on beyond the edge where it does not start or end here."""

    left: float
    right: float
    starts: bool
    ends: bool


def trace_unheard(scenes: Sequence[Scene]) -> list[list[Band]]:
    """What cannot be made out in each bar or piece of one. They must have been laid out."""
    bands: list[list[Band]] = [[] for _ in scenes]
    going_on: TimedNote | None = None
    for place, scene in enumerate(scenes):
        begins = float(scene.bar.onset) + scene.begins
        if going_on is not None and float(going_on.ends.quarters) > begins + INSTANT:
            bands[place].append(_band(scene, going_on, scene.staff, starts=False))
        for struck in scene.struck:
            going_on = next((timed for timed in struck.notes if timed.note.unheard), None)
            if going_on is not None:
                left = scene.xs[struck.column] - UNHEARD_HALF - ROUND
                if scene.opens and struck.moment == 0:
                    left = min(left, scene.staff + scene.meter_room + CLEAR)
                bands[place].append(_band(scene, going_on, left, starts=True))
    return bands


def _band(scene: Scene, timed: TimedNote, left: float, starts: bool) -> Band:
    until = float(timed.ends.quarters - scene.bar.onset)
    if until > scene.ends + INSTANT or (until > scene.ends - INSTANT and not scene.closes):
        return Band(left, scene.width, starts, ends=False)
    if until > scene.ends - INSTANT:
        return Band(left, scene.width - CLEAR, starts, ends=True)
    after = max((one.left for struck in scene.struck if struck.moment == until for one in struck.figures), default=5.0)
    right = max(left + 2 * UNHEARD_HALF, scene.x_of(until) - after - CLEAR)
    return Band(left, min(right, _next_figure(scene, until) - ROUND), starts, ends=True)


def _next_figure(scene: Scene, moment: float) -> float:
    """Where the first figure from a moment on begins; a rest may stand there first, and be narrow."""
    later = (struck for struck in scene.struck if struck.moment >= moment)
    return min((scene.xs[struck.column] - one.left for struck in later for one in struck.figures), default=scene.width)


def draw_unheard(scene: Scene, bands: Sequence[Band]) -> str:
    """The hatchings, which lie over the strings and under all else."""
    height = (scene.strings - 1) * STRING_GAP + 2 * ROUND
    return "".join(
        hatching(
            scene.at(band.left),
            -ROUND,
            percent((band.right - band.left) / scene.width),
            height,
            band.starts,
            band.ends,
        )
        for band in bands
    )


def hatching(x: str, y: float, width: str, height: float, starts: bool = True, ends: bool = True) -> str:
    """Slanted lines over a rectangle of any width, with an upright one where it starts and where it ends."""
    edges = "".join(
        f'<line class="edge" x1="{at}" x2="{at}" y2="{number(height)}"/>'
        for at, is_there in (("0", starts), ("100%", ends))
        if is_there
    )
    middle = number(height / 2)
    return (
        f'<svg class="unheard" x="{x}" y="{number(y)}" width="{width}" height="{number(height)}">'
        f'<line class="hatched" x2="300%" y1="{middle}" y2="{middle}" stroke-width="{number(height)}" '
        f'transform="skewX(-40)"/>{edges}</svg>'
    )


def draw_doubts(scene: Scene) -> str:
    """A bracket with a question mark under what has no known rhythm."""
    base = (scene.strings - 1) * STRING_GAP
    parts = []
    for begins, ends in scene.doubtful:
        columns = [column for moment, column in scene.columns.items() if begins <= moment < ends]
        if not columns or ends <= scene.begins or begins >= scene.ends:
            continue
        starts, closes = begins >= scene.begins, ends <= scene.ends + INSTANT
        left = scene.xs[columns[0]] - 5 if starts else scene.staff
        right = scene.xs[columns[-1]] + 7 if closes else scene.width
        middle = scene.at((left + right) / 2)
        parts.append(bracket(scene.at(left), scene.at(right), middle, base + BRACKET, starts, closes))
    return "".join(parts)


def bracket(left: str, right: str, middle: str, y: float, starts: bool = True, ends: bool = True) -> str:
    """A dashed line with a question mark, turned up where it starts and where it ends."""
    foot, tip = number(y), number(y - HOOK)
    hooks = "".join(
        f'<line class="thin" x1="{x}" x2="{x}" y1="{tip}" y2="{foot}"/>'
        for x, is_there in ((left, starts), (right, ends))
        if is_there
    )
    line = f'<line class="dashed" x1="{left}" x2="{right}" y1="{foot}" y2="{foot}"/>'
    return hooks + line + text_at(middle, y + 4.5, "?", "doubt")
