"""The signs for what is not known yet, each by itself, for whoever explains them."""

from __future__ import annotations

from markupsafe import Markup

from tabtools.engraving.glyphs import svg
from tabtools.engraving.metrics import FIGURE, number, printed
from tabtools.engraving.open_notes import UNHEARD_SIGN, framed
from tabtools.engraving.open_stretches import bracket, hatching

WIDTH, HEIGHT = 30, 18


def name_sample(text: str, is_round: bool = False, on_string: bool = False) -> Markup:
    """What was heard, or a question mark, in its frame."""
    string = f'<line class="string" x1="-{WIDTH / 2:g}" x2="{WIDTH / 2:g}"/>' if on_string else ""
    return _in_the_middle(string + framed(text, 0, is_round=is_round))


def doubtful_sample(text: str, kind: str) -> Markup:
    """A figure that is not certain, or a doubtful chord."""
    return _in_the_middle(f'<text class="{kind}" y="{number(FIGURE)}">{printed(text)}</text>')


def unheard_sample() -> Markup:
    """A stretch that cannot be made out."""
    sign = f'<text class="gap" x="{WIDTH / 2:g}" y="{HEIGHT / 2 + FIGURE:g}">{UNHEARD_SIGN}</text>'
    return _sample(hatching("1", 1, f"{WIDTH - 2}", HEIGHT - 2) + sign)


def doubt_sample() -> Markup:
    """The bracket under a doubtful rhythm."""
    return _sample(bracket("1", f"{WIDTH - 1}", f"{WIDTH / 2:g}", 12))


def _in_the_middle(drawn: str) -> Markup:
    return _sample(f'<g transform="translate({WIDTH / 2:g} {HEIGHT / 2:g})">{drawn}</g>')


def _sample(drawn: str) -> Markup:
    return svg(f'<svg width="{WIDTH}" height="{HEIGHT}" aria-hidden="true">{drawn}</svg>')
