"""Glyphs without those that a page does not use: all of them weigh as much as the tab of some bars."""

from __future__ import annotations

import re

from markupsafe import Markup

from tabtools.engraving import GLYPHS
from tabtools.website.markup import html, trusted

_GLYPH = re.compile(r'<g id="([^"]+)">.*?</g>(?=<g id="|</defs>)', re.DOTALL)
_FRAME = re.compile(r"<svg[^>]*>")
_USED = re.compile(r'href="#([^"]+)"')


def used_glyphs(drawn: str, glyphs: Markup = GLYPHS) -> Markup:
    """Of these glyphs those that what is drawn uses, or one of them uses in turn; nothing where there are none."""
    known = {one[1]: one[0] for one in _GLYPH.finditer(glyphs)}
    asked = [*_USED.findall(drawn)]
    used: set[str] = set()
    while asked:
        name = asked.pop()
        if name in known and name not in used:
            used.add(name)
            asked += _USED.findall(known[name])
    kept = "".join(text for name, text in known.items() if name in used)
    frame = _FRAME.match(glyphs)
    if not frame or not kept:
        return Markup()
    return html("{frame}<defs>{kept}</defs></svg>", frame=trusted(frame[0]), kept=trusted(kept))
