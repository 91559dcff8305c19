"""Bends on the standard staff: the goal as a small head in brackets, and a curve that leads to it.

The curve keeps to the side of the stem: ties have the other.
"""

from __future__ import annotations

from tabtools.engraving.glyphs import use
from tabtools.engraving.metrics import number
from tabtools.engraving.standard.graces import ledger_path
from tabtools.engraving.standard.notated import BendGoal, StaffEvent
from tabtools.engraving.standard.shapes import SIGNS
from tabtools.engraving.standard.sizes import HEAD, SIGN_COLUMN, SIGN_GAP, SMALL, STEM_ASIDE, height

CLEAR, BOW = 6.0, 5.0
"""From the middle of a head to the curve at the side of the stem, and how far that bows."""


def draw_goals(event: StaffEvent) -> str:
    """All goals of an event, in pixels around its column."""
    return "".join(_goal(event, goal) for goal in event.goals)


def _goal(event: StaffEvent, goal: BendGoal) -> str:
    x, y = event.right - 7.0, height(goal.step)
    inner = use("note2", "", round(y / SMALL, 1))
    inner += use("bracket-left", "", round(y / SMALL, 1)) + use("bracket-right", "", round(y / SMALL, 1))
    if goal.sign is not None:
        inner += use(SIGNS[goal.sign], number(-HEAD - SIGN_GAP - SIGN_COLUMN / 2 - 3), round(y / SMALL, 1))
    if path := ledger_path([goal.step], HEAD, 1 / SMALL):
        inner += f'<path class="ledger" d="{path}"/>'
    head = f'<g transform="translate({number(x)})"><g transform="scale({SMALL})" class="goal">{inner}</g></g>'
    if goal.bent_from is None:
        return head
    way = -1 if event.is_up else 1
    start, end = height(goal.bent_from) + way * CLEAR, y + way * (CLEAR - 1)
    bow = (min if event.is_up else max)(start, end) + way * BOW
    left = STEM_ASIDE + 3 if event.is_up else 1
    path = f"M{number(left)} {number(start)}Q{number((left + x) / 2)} {number(bow)} {number(x)} {number(end)}"
    return f'{head}<path class="tt-line" d="{path}"/>'
