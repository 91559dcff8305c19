"""Grace notes: small heads before the note that they lead to, their stems up; and ledger lines, for all heads.

Where a bend begins is a grace note, and so is each pitch on its way but the last.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from tabtools.engraving.glyphs import use
from tabtools.engraving.metrics import number
from tabtools.engraving.standard.notated import Column, StaffEvent, StaffHead, grace_aside, grace_width
from tabtools.engraving.standard.shapes import SIGNS
from tabtools.engraving.standard.sizes import (
    GRACE_COLUMN,
    GRACE_STEM,
    HEAD,
    LEDGER,
    SIGN_COLUMN,
    SIGN_GAP,
    SMALL,
    STEM_ASIDE,
    TOP_STEP,
    height,
)

BEFORE = 2.0
"""Between the last of them and the accidentals of the note."""


def grace_places(event: StaffEvent) -> list[float]:
    """The middles of the columns of grace notes, in pixels left of their note's column, in order."""
    right, found = event.signs_left + BEFORE, []
    for column in reversed(event.graces):
        found.append(right + grace_aside(column) + GRACE_COLUMN / 2)
        right += grace_width(column)
    return found[::-1]


def draw_graces(event: StaffEvent) -> str:
    """All columns before an event, in pixels around its column: a lone one with a flag, several under a beam."""
    if not event.graces:
        return ""
    places = [-place for place in grace_places(event)]
    tips = [height(column[-1].step) - GRACE_STEM for column in event.graces]
    tip = min(tips)
    drawn = "".join(_column(column, x, tip, len(tips) == 1) for column, x in zip(event.graces, places, strict=True))
    if len(tips) > 1:
        first, last = places[0] + STEM_ASIDE * SMALL, places[-1] + STEM_ASIDE * SMALL
        drawn += f'<path class="tt-ink" d="M{number(first)} {number(tip)}H{number(last)}v2.8H{number(first)}z"/>'
    return drawn


def _column(column: Column, x: float, tip: float, has_flag: bool) -> str:
    """Heads, accidentals and the stem of one column, drawn in full size and made small."""

    def y(one: StaffHead) -> float:
        return height(one.step) / SMALL

    heads = "".join(
        use(f"{one.shape}2", number(one.aside * 2 * HEAD) if one.aside else "", round(y(one), 1))
        for one in column
        if one.shape != "unknown"
    )
    signs = "".join(
        use(SIGNS[one.sign], number(-HEAD - SIGN_GAP - SIGN_COLUMN * (one.sign_column + 0.5)), round(y(one), 1))
        for one in column
        if one.sign is not None
    )
    stem = f'<path class="upright" d="M{number(STEM_ASIDE)} {number(y(column[0]) - 1.2)}V{number(tip / SMALL)}"/>'
    flag = use("upflag1", number(STEM_ASIDE), round(tip / SMALL, 1)) if has_flag else ""
    small = f'<g transform="scale({SMALL})" class="grace">{_small_ledgers(column)}{heads}{signs}{stem}{flag}</g>'
    return f'<g transform="translate({number(x)})">{small}</g>'


def _small_ledgers(column: Column) -> str:
    path = _lines_of(column, HEAD, 1 / SMALL)
    return f'<path class="ledger" d="{path}"/>' if path else ""


def ledgers(heads: Sequence[StaffHead], half: float) -> str:
    """Short lines for heads beyond the staff, from it to the farthest of them; `half` is half the width of a head."""
    path = _lines_of(heads, half, 1.0)
    return f'<path class="ledger" d="{path}"/>' if path else ""


def _lines_of(heads: Sequence[StaffHead], half: float, scale: float) -> str:
    pitched = [one for one in heads if one.shape != "unknown"]
    sides = {one.aside for one in pitched if one.step < 0 or one.step > TOP_STEP}
    return ledger_path([one.step for one in pitched], half, scale, sides)


def ledger_path(steps: Sequence[int], half: float, scale: float, sides: Collection[int] = ()) -> str:
    """The ledger lines of heads on these steps, `half` a head wide to either side, with neighbours at these `sides`."""
    if not steps:
        return ""
    lines = [*range(-2, min(steps) - 1, -2), *range(TOP_STEP + 2, max(steps) + 1, 2)]
    left = -half - LEDGER + HEAD - 2 * half * (-1 in sides)
    right = half + LEDGER - HEAD + 2 * half * (1 in sides)
    return "".join(f"M{number(left)} {number(height(step) * scale)}H{number(right)}" for step in lines)
