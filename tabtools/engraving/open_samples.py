"""The signs for what is not known yet, each by itself, for whoever explains them."""

from __future__ import annotations

from markupsafe import Markup

from tabtools.engraving.glyphs import svg
from tabtools.engraving.open_notes import framed
from tabtools.engraving.open_stretches import bracket, hatching

WIDTH, HEIGHT = 30, 18


def name_sample(text: str) -> Markup:
    """What was heard, or a question mark, in its frame."""
    return _sample(f'<g transform="translate({WIDTH / 2:g} {HEIGHT / 2:g})">{framed(text, 0)}</g>')


def unheard_sample() -> Markup:
    """A stretch that cannot be made out."""
    return _sample(hatching("1", 1, f"{WIDTH - 2}", HEIGHT - 2))


def doubt_sample() -> Markup:
    """The bracket under a doubtful rhythm."""
    return _sample(bracket("1", f"{WIDTH - 1}", f"{WIDTH / 2:g}", 12))


def _sample(drawn: str) -> Markup:
    return svg(f'<svg width="{WIDTH}" height="{HEIGHT}" aria-hidden="true">{drawn}</svg>')
