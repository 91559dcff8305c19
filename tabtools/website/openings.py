"""What there is to play: the newest solos with their first bars drawn, for a page written by hand that asks for them.

A page asks with an empty `<div class="tt-openings"></div>` on a line of its own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from markupsafe import Markup

from tabtools.model.solo import Address, AddressRange
from tabtools.website.feed import Dates
from tabtools.website.links import INDEX, Links, solo_path, stretch_anchor
from tabtools.website.markup import html
from tabtools.website.page_build import Prepared
from tabtools.website.solo_page.page import tempo_text
from tabtools.website.specimens import bars_shown, facts_of, opening_of, with_glyphs
from tabtools.wording import several

MOST = 6
_HERE = re.compile(r'<div class="tt-openings">\s*</div>')
_NUMBER = re.compile(r"b([0-9]+)")


def with_openings(page: str, solos: Mapping[str, Prepared], dates: Mapping[str, Dates], links: Links) -> str:
    """A page with the openings of the newest solos where it asks for them, drafts left out; `links` lead from it."""
    if not _HERE.search(page):
        return page
    finished = [one for one in solos.values() if not one.header.draft]
    newest = sorted(finished, key=lambda one: one.title.casefold())
    newest.sort(key=lambda one: dates[one.slug].published, reverse=True)
    shown = Markup().join(_opening(one, links) for one in newest[:MOST])
    count = len(finished)
    body = html(
        '<div class="tt-openings"><div class="tt-specimens">{shown}</div><p><a href="{index}">{all}</a></p></div>',
        shown=shown,
        index=links.page(INDEX),
        all=f"All {several(count, 'solo')}" if count > 1 else "The list of solos",
    )
    drawn = str(with_glyphs(body))
    return _HERE.sub(lambda _: drawn, page)


def _opening(one: Prepared, links: Links) -> Markup:
    page = one.open().page
    anchors = opening_of(page.tab)
    href = links.page(solo_path(one.slug))
    facts = " · ".join((facts_of(one.header), tempo_text(one.header)))
    summary = html('<p class="tt-summary">{said}</p>', said=one.header.summary) if one.header.summary else ""
    return html(
        '<section class="tt-specimen"><h2><a href="{href}">{title}</a></h2><p>{facts}</p>'
        "{bars}{summary}{play}</section>",
        href=href,
        title=one.title,
        facts=facts,
        bars=bars_shown(page.tab, anchors, one.header.instrument.tuning),
        summary=summary,
        play=_play(href, anchors, one.title),
    )


def _play(href: str, anchors: tuple[str, ...], title: str) -> Markup:
    """A link that has the solo's page loop what is shown."""
    numbers = [int(found[1]) for found in map(_NUMBER.fullmatch, anchors) if found]
    if not numbers:
        return Markup()
    stretch = AddressRange(Address(numbers[0]), Address(numbers[-1]))
    return html(
        '<p class="tt-play"><a href="{href}#{stretch}" aria-label="Practise this opening of {title}, looped">'
        "Practise this opening</a></p>",
        href=href,
        stretch=stretch_anchor(stretch),
        title=title,
    )
