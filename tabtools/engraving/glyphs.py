"""The drawn signs every bar refers to: rests, flags, waves. They stand once on a page, before its first bar.

Outlines are our own. Rests are drawn around the middle of the staff, flags from the foot of a stem.
"""

from __future__ import annotations

from markupsafe import Markup

LONGEST_WAVE = 1400
"""In pixels: a bar is stretched to 3.4 times its natural width at most, and breaks into pieces where it is wide."""
MOST_FLAGS = 8
"""Of a 1024th, the shortest value there is."""

_REST_WHOLE = '<path class="tt-ink" d="M-6 -6h12v5h-12z"/>'
_REST_HALF = '<path class="tt-ink" d="M-6 -5h12v5h-12z"/>'
_REST_QUARTER = (
    '<path class="tt-ink" d="M-2.6 -11.5L3.6 -4.2C1 -1.8 1 .6 4.2 4.6C0 3 -2.4 4.4 -.8 6.6C-.2 7.6 .9 8.6 2.2 9.6'
    'C-2.6 8.4 -5 5.6 -3.8 3.4C-3 1.8 -1 1.4 .4 1.8L-3.6 -3.2C-1.2 -5.2 -1 -7.6 -3.4 -10.8Z"/>'
)


def svg(drawn: str) -> Markup:
    """A finished drawing: whatever was written in a solo has been escaped in it."""
    return Markup(drawn)  # noqa: S704


_REST_DOUBTFUL = f'{_REST_QUARTER}<path class="tt-line" d="M-7 -9q-4 9 0 18M7 -9q4 9 0 18"/>'
"""A silence somewhere under a doubtful count: a rest in brackets, of no value."""


def _short_rest(hooks: int) -> str:
    """A rest shorter than a quarter: a slanted stem with a hook for each halving."""
    top = -4.0 - 2.5 * (hooks - 1)
    parts = []
    for hook in range(hooks):
        y = top + 5.4 * hook
        x = -3.2 - 1.2 * hook
        parts.append(f'<circle class="tt-ink" cx="{x + 0.4:g}" cy="{y:g}" r="2"/>')
        parts.append(f'<path class="tt-line" d="M{x + 0.4:g} {y + 1.2:g}c2.4 1.8 5 .4 {6.2:g} -2.6"/>')
    foot = top + 5.4 * (hooks - 1) + 9.5
    parts.append(f'<path class="tt-line" d="M3.6 {top - 1.6:g}L{-1.2 * hooks:g} {foot:g}"/>')
    return "".join(parts)


_FLAG = '<path class="tt-ink" d="M0 {y}c1.2 -4.6 6.8 -6 5 -13.4c3.6 5.8 .4 10.2 -2.2 12.2c-1.4 1 -2.2 2 -2.8 3.6z"/>'


def _flags(count: int) -> str:
    return "".join(_FLAG.format(y=f"{-5.2 * one:g}") for one in range(count))


_SYMBOLS = {
    "rest0": _REST_WHOLE,
    "rest1": _REST_HALF,
    "rest2": _REST_QUARTER,
    "rest-doubtful": _REST_DOUBTFUL,
    **{f"rest{hooks + 2}": _short_rest(hooks) for hooks in range(1, MOST_FLAGS + 1)},
    **{f"flag{count}": _flags(count) for count in range(1, MOST_FLAGS + 1)},
    "down": '<path class="tt-line" d="M-3.6 0v-6.4h7.2v6.4M-3.6 -5.6h7.2"/>',
    "up": '<path class="tt-line" d="M-3.2 -7.6L0 0L3.2 -7.6"/>',
    "tone-chord": '<path class="tt-tone" d="M-3.5 0H3.5V2.4H-3.5z"/>',
    "tone-scale": '<path class="tt-tone" d="M-4.5 0h2.2v2.4h-2.2zM-1.1 0h2.2v2.4h-2.2zM2.3 0h2.2v2.4h-2.2z"/>',
    "tone-chromatic": '<path class="tt-tone-line" d="M-4.6 2.8L-2.3 0L0 2.8L2.3 0L4.6 2.8"/>',
    "accent": '<path class="tt-line" d="M-4.6 -6L4.6 -3L-4.6 0"/>',
    "stacc": '<circle class="tt-ink" cy="-2" r="1.6"/>',
    "arrow-up": '<path class="tt-ink" d="M0 0L-3.3 6.4L3.3 6.4z"/>',
    "arrow-down": '<path class="tt-ink" d="M0 0L-3.3 -6.4L3.3 -6.4z"/>',
    "head2": '<path class="tt-ink" d="M-3.6 .9c-.6 -2 1.4 -3.8 3.5 -4c1.8 -.2 3.2 .6 3.6 2c.5 2 -1.4 3.8 -3.5 4'
    'c-1.8 .2 -3.2 -.6 -3.6 -2z"/><path class="tt-line" d="M3.2 -1v-13"/>',
    "head1": '<path class="tt-line" d="M-3.3 .8c-.6 -2 1.4 -3.6 3.3 -3.8c1.8 -.2 3 .6 3.4 1.8c.5 2 -1.4 3.6 -3.3 3.8'
    'c-1.8 .2 -3 -.6 -3.4 -1.8z"/><path class="tt-line" d="M3.3 -1v-13"/>',
    "head3": '<path class="tt-ink" d="M-3.6 .9c-.6 -2 1.4 -3.8 3.5 -4c1.8 -.2 3.2 .6 3.6 2c.5 2 -1.4 3.8 -3.5 4'
    'c-1.8 .2 -3.2 -.6 -3.6 -2z"/><path class="tt-line" d="M3.2 -1v-13c0 3 4.4 4 3.6 7.6"/>',
}


def _wave(name: str, height: float) -> str:
    """A wavy line longer than any bar, of which each vibrato shows a part: lines print as lines, a pattern as grey."""
    middle, turns = 6, LONGEST_WAVE // 4
    return f'<g id="tt-{name}"><path class="tt-line" d="M-2 {middle}q2 {-height:g} 4 0{"t4 0" * turns}"/></g>'


GLYPHS = svg(
    '<svg class="tt-glyphs" width="0" height="0" aria-hidden="true"><defs>'
    + "".join(f'<g id="tt-{name}">{shape}</g>' for name, shape in _SYMBOLS.items())
    + _wave("wave", 4.5)
    + _wave("wide", 8)
    + "</defs></svg>"
)
"""The signs as one hidden SVG."""


def use(name: str, x: str = "", y: float = 0, kind: str = "") -> str:
    """A sign at a place."""
    attributes = (f' x="{x}"' if x else "") + (f' y="{y:g}"' if y else "") + (f' class="{kind}"' if kind else "")
    return f'<use href="#tt-{name}"{attributes}/>'
