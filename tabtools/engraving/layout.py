"""Where the columns of a bar stand when it is as narrow as can be."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from tabtools.engraving.dips import dip_rooms
from tabtools.engraving.marks import reaches
from tabtools.engraving.metrics import (
    CHORD_SIZE,
    COLUMN_GAP,
    DEGREE_SIZE,
    EDGE,
    QUARTER_ADVANCE,
    percent,
    text_width,
    with_accidentals,
)
from tabtools.engraving.scene import Scene

NARROWEST = 84
NEARER = 5.0
"""By how much accidentals and small notes stand nearer to a bar line on the staff than figures do in the tab."""


def lay_out(scene: Scene) -> None:
    """Give every column its place at the narrowest width that lets nothing touch."""
    drawings = extents(scene)
    lefts, rights = farthest(drawings)
    moments = list(scene.columns)
    length = float(scene.bar.length)
    x = scene.staff + EDGE + scene.meter_room
    xs: list[float] = []
    for column, moment in enumerate(moments):
        x += lefts[column] if column == 0 else 0
        xs.append(x)
        following = moments[column + 1] if column + 1 < len(moments) else max(length, moment)
        x += _advance(following - moment, scene.is_free)
        if column + 1 < len(moments):
            x = max(x, *(xs[-1] + one.rights[column] + COLUMN_GAP + one.lefts[column + 1] for one in drawings))
        else:
            x = max(x, xs[-1] + rights[column] + EDGE)
    widths = [text_width(with_accidentals(text), CHORD_SIZE, bold=True) for _, text in scene.chords]
    for index, ((first, _), (second, _)) in enumerate(pairwise(scene.chords)):
        missing = xs[first] + widths[index] + 9 - xs[second]
        if missing > 0:
            xs[second:] = [one + missing for one in xs[second:]]
            x += missing
    if scene.chords:
        x = max(x, xs[scene.chords[-1][0]] + widths[-1])
    scene.xs = xs
    x = max([x, scene.words_left + scene.head, *(xs[one.column] + reach for one, reach in reaches(scene))])
    scene.width = max(x, NARROWEST + scene.staff) + scene.courtesy_room
    scene.cells = [percent(x / scene.width) for x in xs]


def _advance(quarters: float, free: bool) -> float:
    """The room a duration asks for: it grows with its square root (common practice in engraving)."""
    return min(QUARTER_ADVANCE * quarters**0.5, 130) if not free else 34


class Extents(NamedTuple):
    """How far each column of a drawing reaches to the left and to the right of its place, in pixels."""

    lefts: list[float]
    rights: list[float]


def farthest(drawings: Sequence[Extents]) -> Extents:
    """How far each column reaches at most, from a line through both drawings."""
    (tab_lefts, tab_rights), *staff = drawings
    if not staff:
        return drawings[0]
    lefts = [max(tab, notes - NEARER) for tab, notes in zip(tab_lefts, staff[0].lefts, strict=True)]
    return Extents(lefts, list(map(max, tab_rights, staff[0].rights)))


def extents(scene: Scene) -> list[Extents]:
    """How far the columns reach in the tab, and on the staff over it if there is one.

    Columns make way for each other within each of both: what a note has before it on the staff may stand over what
    reaches out of the column before it in the tab.
    """
    tab = _in_tab(scene)
    return [tab, _on_staff(scene)] if scene.notation else [tab]


def _on_staff(scene: Scene) -> Extents:
    lefts, rights = [3.0] * len(scene.columns), [3.0] * len(scene.columns)
    for noted in scene.notation:
        if not noted.event.fills_bar:
            column = scene.columns[noted.moment]
            lefts[column] = max(lefts[column], noted.left)
            rights[column] = max(rights[column], noted.right)
    return Extents(lefts, rights)


def _in_tab(scene: Scene) -> Extents:
    lefts, rights = [3.0] * len(scene.columns), [3.0] * len(scene.columns)
    for event in scene.events:
        if not event.fills_bar:
            column = scene.columns[event.moment]
            lefts[column], rights[column] = max(lefts[column], 4), max(rights[column], 5 + 4 * event.dots)
    for one in scene.struck:
        column = one.column
        under = max(text_width(label, DEGREE_SIZE) for label in (*one.labels, *one.rooms)) / 2 + 1
        lefts[column] = max(lefts[column], under, *(figure.left for figure in one.figures))
        rights[column] = max(rights[column], under, *(figure.right for figure in one.figures))
    for column, reach in dip_rooms(scene):
        rights[column] = max(rights[column], reach)
    if scene.held and lefts:
        lefts[0] = max(lefts[0], max(one.half for one in scene.held))
        rights[0] = max(rights[0], max(one.half for one in scene.held))
    return Extents(lefts, rights)
