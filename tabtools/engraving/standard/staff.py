"""The standard staff of a piece of a bar as a drawing of its own, and what stands at the left of every system.

A page breaks systems where it is as wide as it happens to be. So every piece brings the head of a system with it, left
of its own edge, and the piece before covers that where there is one (see `tab.css`).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

from markupsafe import Markup

from tabtools.engraving.glyphs import svg, use
from tabtools.engraving.metrics import STRING_GAP, number, percent
from tabtools.engraving.scene import Scene
from tabtools.engraving.standard.draw import StaffSketch
from tabtools.engraving.standard.shapes import FIGURE_WIDTH, SHAPES, SIGNS
from tabtools.engraving.standard.sizes import FOOT, SPACE, height
from tabtools.model.solo import Header
from tabtools.score.accidentals import signed_tones
from tabtools.score.clefs import clef_of, signature_steps

CLEF_ROOM, SIGN_ROOM = 33.0, 7.5
"""What a clef takes with the room around it, and each sign of a signature."""
AFTER_SIGNS = 3.0
CLEF_AT = 16.0
CLEF_LINES = {"treble": 2, "bass": 6}
"""The step that each clef names."""


class StaffFrame(NamedTuple):
    """What a piece shares with its system: how far anything reaches over the staff and under its top line."""

    above: int
    below: int


def frame_of(sketches: Sequence[StaffSketch]) -> StaffFrame:
    """The room that these pieces need together."""
    above = max((one.over.top for one in sketches), default=0.0)
    below = max((one.under.top for one in sketches), default=0.0)
    return StaffFrame(ceil(above), ceil(FOOT + below))


def staff_svg(scene: Scene, sketch: StaffSketch, frame: StaffFrame, closes: str) -> Markup:
    """A piece on its staff, whose top line is the top edge of the drawing; `closes` is as in the tab's `Frame`."""
    start = use("head") + use("lines")
    if scene.staff:
        width = percent(1 - scene.staff / scene.width)
        start = f'<svg x="{scene.at(scene.staff)}" width="{width}">{start}</svg>'
    drawn = [start, _barlines(scene, closes), _meters(scene), *sketch.parts]
    return svg(
        f'<svg class="tt-standard" aria-hidden="true" height="{frame.below}" style="margin-top:{frame.above}px">'
        f"{''.join(drawn)}</svg>"
    )


def tab_head(scene: Scene) -> str:
    """What stands left of a piece of tab where a staff stands over it."""
    at = f' x="{scene.at(scene.staff)}"' if scene.staff else ""
    return f'<svg class="head"{at}>{use("tab-head")}</svg>'


def before_courtesy(scene: Scene, lines: str) -> str:
    """What closes a bar, left of the meter of the next system where that is told."""
    moved = number(-scene.courtesy_room)
    return f'<g transform="translate({moved})">{lines}</g>' if lines and scene.courtesy else lines


def _barlines(scene: Scene, closes: str) -> str:
    return before_courtesy(scene, _closing(closes)) if scene.closes else ""


def _closing(closes: str) -> str:
    line = f'<line class="barline" x1="100%" x2="100%" y2="{FOOT}"/>'
    if closes == "section":
        return f'{line}<g transform="translate(-4)">{line}</g>'
    if closes == "end":
        thick = f'<line class="thick" x1="100%" x2="100%" y2="{FOOT}" transform="translate(-1.5)"/>'
        return f'{thick}<g transform="translate(-6)">{line}</g>'
    return line


def _meters(scene: Scene) -> str:
    return "".join(
        f'<svg x="{at}">'
        f"{_figures(meter.numerator, SPACE, aside)}{_figures(meter.denominator, FOOT - SPACE, aside)}</svg>"
        for meter, at, aside in scene.meters
    )


def _figures(value: int, y: float, middle: float) -> str:
    digits = str(value)
    left = middle - FIGURE_WIDTH * (len(digits) - 1) / 2
    return "".join(use(f"figure{digit}", number(left + FIGURE_WIDTH * place), y) for place, digit in enumerate(digits))


def head_width(header: Header) -> float:
    """What the head of a system takes at its left."""
    signs = len(signed_tones(header.key))
    return CLEF_ROOM + (SIGN_ROOM * signs + AFTER_SIGNS if signs else 0.0)


def shapes_of(header: Header) -> Markup:
    """All signs of a solo's staves as one hidden SVG: those of any staff, and the heads of its own systems."""
    clef, tones, width = clef_of(header.instrument), signed_tones(header.key), head_width(header)
    left = number(-width)
    lines = "".join(f"M{left} {y}H0" for y in range(0, FOOT + 1, SPACE))
    signs = "".join(
        use(SIGNS[max(-2, min(2, tone.alteration))], number(-width + CLEF_ROOM + SIGN_ROOM * place), height(step))
        for place, (tone, step) in enumerate(zip(tones, signature_steps(tones, clef), strict=True))
    )
    drawn = use(clef.sign, number(-width + CLEF_AT), height(CLEF_LINES[clef.sign]))
    strings = header.instrument.strings
    base = (strings - 1) * STRING_GAP
    tab_lines = "".join(f"M{left} {y}H0" for y in range(0, base + 1, STRING_GAP))
    opening = f'<path class="tt-opening" d="M{left} {{}}V{{}}"/>'
    return SHAPES + svg(
        '<svg class="tt-glyphs" width="0" height="0" aria-hidden="true"><defs>'
        f'<g id="tt-head"><path class="tt-five" d="{lines}"/>{opening.format(-0.5, FOOT + 0.5)}{drawn}{signs}</g>'
        f'<g id="tt-tab-head"><path class="tt-string-line" d="{tab_lines}"/>{opening.format(-0.5, base + 0.5)}</g>'
        "</defs></svg>"
    )
