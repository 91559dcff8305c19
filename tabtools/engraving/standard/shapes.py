"""The signs of the standard staff as outlines of our own, from circles and simple curves.

Heads and accidentals are drawn around their line or space, rests around the middle line, clefs around the line they
name, figures around the middle of two spaces.
"""

from __future__ import annotations

from math import cos, radians, sin

from markupsafe import Markup

from tabtools.engraving.glyphs import MOST_FLAGS, svg
from tabtools.engraving.metrics import number
from tabtools.engraving.standard.sizes import FOOT, SPACE

_QUARTER_CIRCLE = 0.5523
"""How far the handles of a curve stand off that follows a quarter of a circle of radius 1."""


def _ellipse(across: float, down: float, turn: float) -> str:
    """A path around an ellipse that is turned by so many degrees to the left."""
    c, s = cos(radians(turn)), sin(radians(turn))

    def at(x: float, y: float) -> str:
        x, y = x * across, y * down
        return f"{number(x * c + y * s)} {number(-x * s + y * c)}"

    k = _QUARTER_CIRCLE
    quarters = (
        ((1, k), (k, 1), (0, 1)),
        ((-k, 1), (-1, k), (-1, 0)),
        ((-1, -k), (-k, -1), (0, -1)),
        ((k, -1), (1, -k), (1, 0)),
    )
    return f"M{at(1, 0)}" + "".join("C" + " ".join(at(*point) for point in points) for points in quarters) + "Z"


def _ink(path: str) -> str:
    return f'<path class="tt-ink" fill-rule="evenodd" d="{path}"/>'


def _line(path: str, width: float = 1.2) -> str:
    return f'<path class="tt-line" d="{path}" style="stroke-width:{number(width)}"/>'


def _spot(x: float, y: float, radius: float) -> str:
    return f'<circle class="tt-ink" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>'


_BLACK = _ellipse(5.2, 3.6, 22)
_RING = _ellipse(6.6, 3.9, 0) + _ellipse(3.7, 2.3, -58)
_HEADS = {
    "note0": _ink(_RING),
    "note1": _ink(_BLACK + _ellipse(4.5, 1.9, 32)),
    "note2": _ink(_BLACK),
    "cross2": _line("M-3.6 -3.4L3.6 3.4M-3.6 3.4L3.6 -3.4", 1.7),
    "cross1": _line("M-2.6 -2.6L2.6 2.6M-2.6 2.6L2.6 -2.6", 1.4) + _line(_ellipse(4.3, 4.3, 0), 1.1),
    "diamond2": _ink("M-5 0L0 -4.2L5 0L0 4.2Z"),
    "diamond1": _ink("M-5.2 0L0 -4.4L5.2 0L0 4.4ZM-3.2 0L.7 2.8L3.2 0L-.7 -2.8Z"),
}
_HEADS["cross0"], _HEADS["diamond0"] = _HEADS["cross1"], _HEADS["diamond1"]

_SHARP = "M-1.9 -9.4h1.1V9.8h-1.1zM.9 -10.2h1.1V9h-1.1zM-3.5 -1.9L3.5 -4.1V-1.6L-3.5 .6zM-3.5 3.8L3.5 1.6V4.1L-3.5 6.3z"
_NATURAL = (
    "M-2.6 -10.4h1.1V4.6h-1.1zM1.5 -4.6h1.1V10.4h-1.1zM-2.6 -2.2L2.6 -4V-1.6L-2.6 .2zM-2.6 3.6L2.6 1.8V4.2L-2.6 6z"
)
_FLAT = (
    "M-2.9 -13.4h1.1V-1.6C-.4 -3.4 3.2 -3.8 3.2 -.6C3.2 2 -.2 3.6 -2.9 5.6Z"
    "M-1.8 3.2C-.2 2.2 1.2 1 1.2 -.6C1.2 -2 -.6 -1.6 -1.8 -.2Z"
)
_ACCIDENTALS = {
    "sharp": f'<path class="tt-ink" d="{_SHARP}"/>',
    "natural": f'<path class="tt-ink" d="{_NATURAL}"/>',
    "flat": _ink(_FLAT),
    "half-sharp": _ink("M-.55 -9.8h1.1V9.4h-1.1zM-3 -2L3 -4V-1.5L-3 .5zM-3 3.7L3 1.7V4.2L-3 6.2z"),
    "sharp-and-a-half": _ink(
        "M-3 -9h1V10.2h-1zM-.5 -9.8h1V9.4h-1zM2 -10.6h1V8.6h-1zM-4.2 -1.7L4.2 -4.3V-1.8L-4.2 .8z"
        "M-4.2 4L4.2 1.4V3.9L-4.2 6.5z"
    ),
    "half-flat": f'<g transform="scale(-1 1)">{_ink(_FLAT)}</g>',
    "flat-and-a-half": f'<g transform="translate(-2.9) scale(-1 1)">{_ink(_FLAT)}</g>'
    f'<g transform="translate(2.9)">{_ink(_FLAT)}</g>',
    "double-sharp": _ink("M-4 -4h2.6L0 -1.2L1.4 -4H4V-1.4L1.2 0L4 1.4V4H1.4L0 1.2L-1.4 4H-4V1.4L-1.2 0L-4 -1.4Z"),
    "double-flat": f'<g transform="translate(-2.9)">{_ink(_FLAT)}</g><g transform="translate(2.9)">{_ink(_FLAT)}</g>',
}

_TREBLE = (
    _line(
        "M1.4 4.4C-2.4 4.8 -4 1.2 -2.6 -1.7C-1 -4.9 3.4 -5.6 6 -3.2C9.2 -.2 8.2 5.6 4.2 7.4"
        "C-.6 9.5 -6.2 7.6 -8 3.2C-10.4 -2.9 -6.4 -8.4 -2.4 -12.2C1.8 -16.2 5.2 -20 5.2 -25.6"
        "C5.2 -29.4 4 -32.4 2.4 -32.4C-.4 -32.4 -2 -27.6 -1.4 -23L2.8 11.4C3.4 16 1.2 18.4 -1.6 18.2",
        1.5,
    )
    + _ink(
        "M-2.6 -1.7C-1 -4.9 3.4 -5.6 6 -3.2C9.2 -.2 8.2 5.6 4.2 7.4C6.6 5.2 7 .8 4.8 -1.6C2.8 -3.6 -.6 -3.8 -2.6 -1.7Z"
    )
    + _ink(
        "M-8 3.2C-10.4 -2.9 -6.4 -8.4 -2.4 -12.2C-5.4 -7.8 -7.6 -3.4 -6.2 1.6C-5 5.4 -2 7.6 1.4 8.2"
        "C-3 8.4 -6.6 6.4 -8 3.2Z"
    )
    + _ink(
        "M5.2 -25.6C5.2 -29.4 4 -32.4 2.4 -32.4C3 -31 3.6 -28.6 3.4 -25.6C3.2 -22.4 1.4 -19 -1 -16.2"
        "C3 -18.6 5.2 -21.6 5.2 -25.6Z"
    )
    + _spot(-2.4, 16.2, 2.8)
)
_BASS = (
    _line("M-8 -1C-8 -6 -4.6 -8.4 -.6 -8.4C4.6 -8.4 7 -4.6 7 .2C7 7 1 12.4 -8 16.4", 1.4)
    + _ink("M-.6 -8.4C4.6 -8.4 7 -4.6 7 .2C7 7 1 12.4 -8 16.4C0 11.6 3.4 6.4 3.4 .2C3.4 -4.2 2.2 -7.4 -.6 -8.4Z")
    + _spot(-5.4, -0.4, 2.9)
    + _spot(10.6, -4, 1.5)
    + _spot(10.6, 4, 1.5)
)

_FIGURES = (
    "M0 -6.6C-3.4 -6.6 -3.8 -2.6 -3.8 0S-3.4 6.6 0 6.6S3.8 2.6 3.8 0S3.4 -6.6 0 -6.6Z",
    "M-2.8 -4.4L.6 -6.6V6.6M-2.4 6.6H3.4",
    "M-3.4 -3.8C-2.8 -7.4 3.4 -7.6 3.4 -3.4C3.4 .4 -2.6 2.4 -3.6 6.4H3.8",
    "M-3.2 -5.2C-1.6 -7.4 3.2 -7.2 3.2 -3.6C3.2 -1.4 1.4 -.4 -.8 -.4C2 -.4 3.6 .8 3.6 3C3.6 7.2 -2 7.6 -3.6 5",
    "M2 6.6V-6.4L-3.8 2.8H4.2",
    "M3 -6.4H-2.6L-3 -.8C-1 -2.2 3.6 -1.8 3.6 2.2C3.6 7 -1.6 7.6 -3.4 5.2",
    "M2.8 -5.6C-1 -7.6 -3.6 -3.6 -3.6 1.4C-3.6 8.2 3.6 8 3.6 2.6C3.6 -1.8 -2 -2.2 -3.4 1.6",
    "M-3.6 -6.4H3.6C.8 -2.4 -.6 1.6 -1 6.6",
    "M0 -.4C-4 -1 -3.8 -6.6 0 -6.6S4 -1 0 -.4C-4.8 .2 -4.8 6.6 0 6.6S4.8 .2 0 -.4Z",
    "M-2.8 5.6C1 7.6 3.6 3.6 3.6 -1.4C3.6 -8.2 -3.6 -8 -3.6 -2.6C-3.6 1.8 2 2.2 3.4 -1.6",
)
FIGURE_WIDTH = 10.0
_LEAN, _LEAN_FROM = 0.26, 3.2
"""How far a rest leans to the left on each pixel, and where its top stands."""


def _short_rest(hooks: int) -> str:
    """A rest shorter than a quarter: a slanted stem with a hook in a space for each halving."""
    top = -SPACE / 2 - SPACE * ((hooks - 1) // 2)
    foot = top + SPACE * (hooks - 1) + 12
    parts = []
    for hook in range(hooks):
        y = top + SPACE * hook
        x = _LEAN_FROM - _LEAN * (y - top)
        bow = (x - 5.4, y + 1.2), (x - 3, y + 2), (x - 1.2, y + 0.4), (x, y - 2)
        start, *curve = (f"{number(across)} {number(down)}" for across, down in bow)
        parts.append(_spot(x - 6, y - 0.4, 2.1) + _line(f"M{start}C{' '.join(curve)}"))
    low = number(_LEAN_FROM - _LEAN * (foot - top))
    parts.append(_line(f"M3.7 {number(top - 2)}L{low} {number(foot)}", 1.3))
    return "".join(parts)


_RESTS = {
    "pause0": _ink("M-5.5 -8h11v4h-11z"),
    "pause1": _ink("M-5.5 -4h11v4h-11z"),
    "pause2": _ink(
        "M-2.4 -12L3.4 -4.6C1 -2 1.2 .2 4 4.4C.4 2.8 -2 4 -.8 6.6C-.2 7.8 .8 9 2.2 10.4C-2.6 8.6 -4.8 5.8 -3.6 3.4"
        "C-2.8 1.8 -1 1.4 .4 1.8L-3.4 -3.4C-1.2 -5.4 -1 -8 -3.2 -11.2Z"
    ),
    **{f"pause{hooks + 2}": _short_rest(hooks) for hooks in range(1, MOST_FLAGS + 1)},
}
_LINES = "".join(f'<line class="tt-five" x2="100%" y1="{y}" y2="{y}"/>' for y in range(0, FOOT + 1, SPACE))
_FLAGS = {
    f"upflag{count}": f'<g transform="scale(1 -1)"><use href="#tt-flag{count}"/></g>'
    for count in range(1, MOST_FLAGS + 1)
}
_OTHERS = {
    "lines": _LINES,
    "bracket-left": _line("M-6.2 -5.4C-9 -2.4 -9 2.4 -6.2 5.4", 1.1),
    "bracket-right": _line("M6.2 -5.4C9 -2.4 9 2.4 6.2 5.4", 1.1),
    **{f"figure{digit}": _line(path, 2.3) for digit, path in enumerate(_FIGURES)},
    "treble": _TREBLE + f'<g transform="translate(-.6 25) scale(.48)">{_line(_FIGURES[8], 2.6)}</g>',
    "bass": _BASS + f'<g transform="translate(-1 27) scale(.48)">{_line(_FIGURES[8], 2.6)}</g>',
}
SIGNS: dict[float, str] = {
    -2: "double-flat",
    -1.5: "flat-and-a-half",
    -1: "flat",
    -0.5: "half-flat",
    0: "natural",
    0.5: "half-sharp",
    1: "sharp",
    1.5: "sharp-and-a-half",
    2: "double-sharp",
}
"""The accidental of each alteration; those of quarter tones have a stroke less or more, or the flat turned about
(Elaine Gould, Behind Bars, 2011, chapter 3, from memory)."""

SHAPES: Markup = svg(
    '<svg class="tt-glyphs" width="0" height="0" aria-hidden="true"><defs>'
    + "".join(
        f'<g id="tt-{name}">{shape}</g>'
        for name, shape in {**_HEADS, **_ACCIDENTALS, **_RESTS, **_FLAGS, **_OTHERS}.items()
    )
    + "</defs></svg>"
)
"""The signs as one hidden SVG, which stands once on a page with a staff."""
