"""A piece of a bar on the standard staff as SVG."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil

from tabtools.engraving.glyphs import use
from tabtools.engraving.lanes import Skyline
from tabtools.engraving.metrics import number, percent
from tabtools.engraving.scene import Scene
from tabtools.engraving.standard.arcs import StaffTie, draw_ties
from tabtools.engraving.standard.around import draw_around
from tabtools.engraving.standard.graces import draw_graces, ledgers
from tabtools.engraving.standard.notated import ALONE, UPPER, StaffEvent, StaffHead, beam_groups, voices_in
from tabtools.engraving.standard.shapes import SIGNS
from tabtools.engraving.standard.sizes import (
    BEAM,
    BEAM_STEP,
    DOT_GAP,
    FOOT,
    GRACE_STEM,
    LEDGER,
    MIDDLE,
    SPACE,
    STEM_ASIDE,
    STEP,
    TOP_STEP,
    height,
)
from tabtools.engraving.standard.slurs import StaffMove, draw_moves, grace_moves
from tabtools.engraving.standard.upright import Beam, Stem, beamed_stems, ends_of, single_stem

HALF_NOTE, QUARTER = 1, 2
BEYOND = -2
"""The first step under the staff that has a ledger line."""
ASKED_TOP = 7.0
"""How far the question mark of an unknown pitch rises over its step."""
TREMBLING_OVER = 15.0
"""How far the middle stroke of a tremolo stands over heads without a stem."""
REST_HALF, REST_HIGH = 6.0, 11.0
"""Half the width and height of a rest."""
SIGN_TOP, SIGN_FOOT = 11.0, 10.0
"""How far an accidental reaches over and under its head."""


@dataclass(slots=True)
class StaffSketch:
    """What is drawn so far, and how far it reaches over the staff and under it."""

    parts: list[str] = field(default_factory=list)
    over: Skyline = field(default_factory=Skyline)
    under: Skyline = field(default_factory=Skyline)

    def block(self, left: float, right: float, top: float, bottom: float) -> None:
        """Something reaches from one height to another between two places."""
        self.over.block(left, right, -top)
        self.under.block(left, right, bottom - FOOT)


def staff_sketch(scene: Scene, moves: Sequence[StaffMove], ties: Sequence[StaffTie]) -> StaffSketch:
    """The events of a piece with all that leads from one to another, which was traced through all pieces."""
    sketch = StaffSketch()
    stems: dict[tuple[float, int], Stem] = {}
    for group in (group for voice in voices_in(scene.notation) for group in beam_groups(voice)):
        if len(group) > 1:
            xs = [scene.x_of(one.moment) for one in group]
            found, beams = beamed_stems(group, xs)
            stems.update({(one.moment, one.voice): stem for one, stem in zip(group, found, strict=True)})
            sketch.parts.append(_beams(scene, beams, group[0].is_up))
            tips = [stem.tip for stem in found]
            sketch.block(xs[0], xs[-1], min(*tips, 0.0), max(*tips, FOOT))
        elif group[0].heads and group[0].has_value and group[0].event.halvings >= HALF_NOTE:
            stems[group[0].moment, group[0].voice] = single_stem(group[0])
    for event in scene.notation:
        _draw_event(scene, event, stems.get((event.moment, event.voice)), sketch)
    sketch.parts.extend(draw_ties(scene, ties, sketch.block))
    sketch.parts.extend(draw_moves(scene, moves, sketch.block))
    sketch.parts.extend(draw_around(scene, sketch.over, sketch.under))
    return sketch


def _at(scene: Scene, event: StaffEvent) -> str:
    return scene.cells[scene.columns[event.moment]]


def _draw_event(scene: Scene, event: StaffEvent, stem: Stem | None, sketch: StaffSketch) -> None:
    if event.event.fills_bar:
        middle = (scene.staff + scene.meter_room + scene.width) / 2
        sketch.parts.append(use("pause0", scene.at(middle), MIDDLE, "rest"))
        return
    if not event.heads:
        if not event.event.unheard:
            y = _rest_height(scene, event)
            sketch.parts.append(_rest(scene, event, y))
            if event.voice != ALONE:
                x = scene.x_of(event.moment)
                sketch.block(x - REST_HALF, x + REST_HALF, y - REST_HIGH, y + REST_HIGH)
        return
    inner = [
        _roll(event),
        draw_graces(event),
        grace_moves(event),
        ledgers(event.heads, event.half),
        *(_head(one, event) for one in event.heads),
    ]
    inner.append(_dots(event))
    if stem is not None:
        inner.append(_stem(event, stem))
    if event.is_trembling:
        inner.append(_tremolo(event, stem))
    sketch.parts.append(f'<svg x="{_at(scene, event)}">{"".join(inner)}</svg>')
    x = scene.x_of(event.moment)
    left, right = event.left, event.right
    if any(not BEYOND < one.step < TOP_STEP - BEYOND for one in event.heads):
        left, right = max(left, LEDGER), max(right, LEDGER)
    sketch.block(x - left, x + right, *_reach(event, stem))


def _reach(event: StaffEvent, stem: Stem | None) -> tuple[float, float]:
    """From which height to which an event reaches."""
    tops, feet = [], []
    for column in (event.heads, *event.graces):
        for one in column:
            y = height(one.step)
            over = ASKED_TOP if one.shape == "unknown" else STEP
            tops.append(y - (over if one.sign is None else SIGN_TOP))
            feet.append(y + (STEP if one.sign is None else SIGN_FOOT))
    tops.extend(height(column[-1].step) - GRACE_STEM for column in event.graces)
    if event.is_trembling and stem is None:
        tops.append(height(event.heads[-1].step) - TREMBLING_OVER - STEP)
    if stem is not None:
        tops.append(stem.tip)
        feet.append(stem.tip)
    return min(tops), max(feet)


def _rest_height(scene: Scene, event: StaffEvent) -> float:
    """The middle of a rest: that of the staff, or two spaces and more towards the side of its voice, clear of heads."""
    if event.voice == ALONE:
        return MIDDLE
    way = -1 if event.voice == UPPER else 1
    others = [height(one.step) * way for other in scene.notation if other.moment == event.moment for one in other.heads]
    clear = max([(MIDDLE + way * 2 * SPACE) * way, *(y + REST_HIGH + STEP for y in others)])
    return MIDDLE + way * SPACE * ceil((clear - MIDDLE * way) / SPACE)


def _rest(scene: Scene, event: StaffEvent, y: float) -> str:
    if not event.has_value:
        return use("rest-doubtful", _at(scene, event), y, "rest")
    value = max(event.event.halvings, 0)
    dot = f'<circle class="tt-ink" cx="9" cy="{number(y - STEP)}" r="1.5"/>' * event.event.dots
    return f'<svg x="{_at(scene, event)}">{use(f"pause{value}", "", y, "rest")}{dot}</svg>'


def _roll(event: StaffEvent) -> str:
    """The wavy line before a rolled chord, over both voices."""
    if event.rolled is None:
        return ""
    low, high = event.rolled
    top, foot = height(high) - STEP, height(low) + STEP
    turns = max(2, round((foot - top) / 6))
    wave = "".join("q-2.5 1.5 0 3t0 3" for _ in range(turns))
    return f'<path class="tt-line roll" d="M{number(3 - event.left)} {number(top)}{wave}"/>'


def _head(one: StaffHead, event: StaffEvent) -> str:
    """A head with its accidental and what stands around it, in pixels around the column."""
    y = height(one.step)
    x = one.aside * (2 * event.half - 0.8)
    if one.shape == "unknown":
        return f'<text class="asked" y="{number(y + 5)}">?</text>'
    value = min(max(event.event.halvings, 0), QUARTER) if event.has_value else QUARTER
    drawn = use(f"{one.shape}{value}", number(x) if x else "", y)
    if one.is_ghost:
        drawn += use("bracket-left", number(x), y) + use("bracket-right", number(x), y)
    if one.sign is not None:
        drawn += use(SIGNS[one.sign], number(-event.sign_place(one)), y)
    return drawn


def _dots(event: StaffEvent) -> str:
    """The dots of a value, each in a space: over the line of its head, or under it where that space is taken."""
    if not (event.has_value and event.event.dots):
        return ""
    x, taken = event.heads_right + DOT_GAP, set[int]()
    for one in reversed(event.heads):
        space = one.step + 1 - one.step % 2
        if space in taken:
            space = one.step - 1 + one.step % 2
        taken.add(space)
    return "".join(
        f'<circle class="tt-ink" cx="{number(x)}" cy="{number(height(space))}" r="1.5"/>' for space in sorted(taken)
    )


def _stem(event: StaffEvent, stem: Stem) -> str:
    x = STEM_ASIDE if event.is_up else -STEM_ASIDE
    start = stem.head + (-1.2 if event.is_up else 1.2)
    drawn = f'<path class="upright" d="M{number(x)} {number(start)}V{number(stem.tip)}"/>'
    flags = event.event.halvings - QUARTER
    if flags > 0 and not event.event.beams:
        drawn += use(f"upflag{flags}" if event.is_up else f"flag{flags}", number(x), stem.tip)
    return drawn


def _tremolo(event: StaffEvent, stem: Stem | None) -> str:
    """Three strokes through the stem, between heads and flags or beams; over the heads of a value without one."""
    near = ends_of(event)[1]
    if stem is None:
        x, middle = 0.0, height(event.heads[-1].step) - TREMBLING_OVER
    else:
        x = STEM_ASIDE if event.is_up else -STEM_ASIDE
        taken = BEAM_STEP * max(0, event.event.halvings - QUARTER)
        tip = stem.tip + (taken if event.is_up else -taken)
        middle = (near + tip) / 2
    strokes = "".join(
        f"M{number(x - 4)} {number(middle + 4 * one + 1.5)}L{number(x + 4)} {number(middle + 4 * one - 1.5)}"
        for one in (-1, 0, 1)
    )
    return f'<path class="trembling" d="{strokes}"/>'


def _beams(scene: Scene, beams: Sequence[Beam], is_up: bool) -> str:
    """Beams as outlines that only grow longer as the bar is stretched: their ends stay upright."""
    return (
        f'<g transform="translate({number(STEM_ASIDE if is_up else -STEM_ASIDE)})">'
        + "".join(_beam(scene, beam, is_up) for beam in beams)
        + "</g>"
    )


def _beam(scene: Scene, beam: Beam, is_up: bool) -> str:
    edge = BEAM if is_up else -BEAM
    top = min(beam.left_y, beam.right_y, beam.left_y + edge, beam.right_y + edge)
    size = BEAM + abs(beam.right_y - beam.left_y)
    left, right = beam.left_y - top, beam.right_y - top
    path = f"M0 {number(left)}L1 {number(right)}v{number(edge)}L0 {number(left + edge)}z"
    return (
        f'<svg x="{scene.at(beam.left)}" y="{number(top)}" width="{percent((beam.right - beam.left) / scene.width)}" '
        f'height="{number(size)}" viewBox="0 0 1 {number(size)}" preserveAspectRatio="none">'
        f'<path class="tt-ink" d="{path}"/></svg>'
    )
