"""Bars of a solo shown on other pages: cut out of its finished tab, without what only the solo's own page needs.

A page has no two elements of one id, so the bars lose theirs; the staff over the tab, the words of each note and all
glyphs that no bar uses stay behind.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from markupsafe import Markup

from tabtools.engraving.metrics import STRING_GAP, with_accidentals
from tabtools.model.instrument import Tuning
from tabtools.model.solo import Header
from tabtools.website.markup import html, trusted
from tabtools.website.solo_page.page import key_text, tuned_text
from tabtools.website.used_glyphs import used_glyphs

WIDEST_OPENING = 560
"""Pixels that the first bars of a solo may take before they are stretched, but for a first one that is wider."""

_BAR = re.compile(r'<div class="tt-bar"(?: id="([^"]*)")?[^>]*?--w:([0-9]+)')
_DIV, _SVG = re.compile(r"<(/?)div\b"), re.compile(r"<(/?)svg\b")
_LEFT_OUT = re.compile(r'<svg class="(?:tt-standard|head)"')
_AS_TEXT = re.compile(r'<script type="image/svg\+xml">.*?</script>')
_UNDER, _PIECE = (
    re.compile(r"--rise:([0-9.]+);--over:[0-9.]+;--under:([0-9.]+)"),
    re.compile(r'<div class="tt-piece"[^>]*>'),
)
_USUAL = "standard tuning"
_ONLY_THERE = re.compile(r' id="[^"]*"|<title>.*?</title>')


def facts_of(header: Header) -> str:
    """What has to be known to read bars that stand alone: who plays, in what key and meter, on which strings."""
    tuned = tuned_text(header)
    facts = (header.player, key_text(header), str(header.meter), tuned if tuned != _USUAL else "")
    return " · ".join(filter(None, facts))


def bars_shown(tab: Markup, anchors: Iterable[str], tuning: Tuning) -> Markup:
    """The bars of a tab that have these ids, side by side, the strings named before them; nothing of those that it has
    not."""
    cut = list(_cut(str(tab), tuple(anchors)))
    named = [_with_strings(bar, under, tuning) for bar, under in cut[:1]] + [bar for bar, _ in cut[1:]]
    bars = Markup().join(map(_bare, named))
    return html('<div class="tt-bars" data-search-exclude>{bars}</div>', bars=bars) if bars else Markup()


def opening_of(tab: Markup) -> tuple[str, ...]:
    """The ids of the bars that a solo begins with."""
    found: list[str] = []
    room = WIDEST_OPENING
    for bar in _BAR.finditer(str(tab)):
        room -= int(bar[2])
        if not bar[1] or (found and room < 0):
            break
        found.append(bar[1])
    return tuple(found)


def with_glyphs(body: Markup) -> Markup:
    """A page with the glyphs that its bars use."""
    glyphs = used_glyphs(body)
    return glyphs + body if glyphs else body


def _cut(tab: str, anchors: tuple[str, ...]) -> Iterator[tuple[str, float]]:
    """Each bar, and what its system has under the strings, in pixels."""
    starts = {bar[1]: bar.start() for bar in _BAR.finditer(tab)}
    for anchor in anchors:
        if anchor in starts:
            under = _UNDER.findall(tab, 0, starts[anchor])
            yield tab[starts[anchor] : _end(tab, starts[anchor], _DIV)], sum(map(float, under[-1])) if under else 0.0


def _with_strings(bar: str, under: float, tuning: Tuning) -> str:
    """A bar with the names of the strings before its first piece, unless it has them."""
    if 'class="open"' in bar:
        return bar
    names = Markup().join(
        html("<span>{name}</span>", name=with_accidentals(name.rstrip("-0123456789")))
        for name in reversed(tuning.names)
    )
    strings = html(
        '<div class="tt-strings" style="bottom:{bottom:g}px">{names}</div>', bottom=under - STRING_GAP / 2, names=names
    )
    return _PIECE.sub(lambda found: found[0] + str(strings), bar, count=1)


def _bare(bar: str) -> Markup:
    bar = _AS_TEXT.sub("", bar)
    while found := _LEFT_OUT.search(bar):
        bar = bar[: found.start()] + bar[_end(bar, found.start(), _SVG) :]
    return trusted(_ONLY_THERE.sub("", bar))


def _end(text: str, start: int, tag: re.Pattern[str]) -> int:
    """Behind the element that begins here; `tag` finds the tags of its kind."""
    depth = 0
    for found in tag.finditer(text, start):
        depth += -1 if found[1] else 1
        if depth == 0:
            return text.index(">", found.end()) + 1
    return len(text)
