"""Bends on the standard staff: the goal as a small head in brackets, and a curve that leads to it.

The curve keeps to the side of the stem: ties have the other.
"""

from __future__ import annotations

from tabtools.engraving.glyphs import use
from tabtools.engraving.metrics import number
from tabtools.engraving.standard.graces import ledger_path
from tabtools.engraving.standard.notated import BACK_ROOM, BendGoal, StaffEvent
from tabtools.engraving.standard.shapes import SIGNS
from tabtools.engraving.standard.sizes import HEAD, SIGN_COLUMN, SIGN_GAP, SMALL, STEM_ASIDE, height

CLEAR, BOW = 6.0, 5.0
"""From the middle of a head to the curve at the side of the stem, and how far that bows."""


def draw_goals(event: StaffEvent) -> str:
    """All goals of an event, in pixels around its column."""
    return "".join(_goal(event, goal) for goal in event.goals)


def _goal(event: StaffEvent, goal: BendGoal) -> str:
    room = BACK_ROOM if any(one.back is not None for one in event.goals) else 0.0
    x, y = event.right - 7.0 - room, height(goal.step)
    drawn = _small_head(x, goal.step, goal.sign)
    way = -1 if event.is_up else 1
    if goal.bent_from is not None:
        left = STEM_ASIDE + 3 if event.is_up else 1
        drawn += _way((left, height(goal.bent_from) + way * CLEAR), (x, y + way * (CLEAR - 1)), way)
    if goal.back is not None:
        there = x + BACK_ROOM
        drawn += _small_head(there, goal.back, None)
        drawn += _way((x + 1, y + way * CLEAR), (there, height(goal.back) + way * (CLEAR - 1)), way)
    return drawn


def _small_head(x: float, step: int, sign: float | None) -> str:
    """A small head in brackets at a place, with its sign."""
    y = round(height(step) / SMALL, 1)
    inner = use("note2", "", y) + use("bracket-left", "", y) + use("bracket-right", "", y)
    if sign is not None:
        inner += use(SIGNS[sign], number(-HEAD - SIGN_GAP - SIGN_COLUMN / 2 - 3), y)
    if path := ledger_path([step], HEAD, 1 / SMALL):
        inner += f'<path class="ledger" d="{path}"/>'
    return f'<g transform="translate({number(x)})"><g transform="scale({SMALL})" class="goal">{inner}</g></g>'


def _way(start: tuple[float, float], end: tuple[float, float], way: int) -> str:
    """The curve from a head to the next."""
    bow = (min if way < 0 else max)(start[1], end[1]) + way * BOW
    path = f"M{number(start[0])} {number(start[1])}Q{number((start[0] + end[0]) / 2)} {number(bow)}"
    return f'<path class="tt-line" d="{path} {number(end[0])} {number(end[1])}"/>'
