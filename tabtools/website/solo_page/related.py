"""Figures that a solo shares with others, as links to both places."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

from tabtools.search.collection import Place
from tabtools.search.shared import shared_figures
from tabtools.website.facets import Facets, excerpt

MOST_FIGURES, MOST_PLACES = 8, 5


def related_html(solos: Sequence[Facets], href: Callable[[str], str]) -> dict[str, str]:
    """By slug, what is said of the figures that solos share; `href` leads from one solo's page to another's."""
    titles = {one.slug: one.title for one in solos}
    rows: dict[str, list[str]] = {}
    for figure in shared_figures([one.searched for one in solos]):
        by_solo: dict[str, list[Place]] = {}
        for place in figure.places:
            by_solo.setdefault(place.solo.slug, []).append(place)
        for slug, own in by_solo.items():
            if len(rows.setdefault(slug, [])) < MOST_FIGURES:
                others = [places[0] for other, places in by_solo.items() if other != slug][:MOST_PLACES]
                rows[slug].append(_row(figure.notes, own[0], others, titles, href))
    return {
        slug: '<section class="tt-related" aria-labelledby="related"><h2 id="related">Heard in other solos</h2>'
        f"<ul>{''.join(own)}</ul></section>"
        for slug, own in rows.items()
        if own
    }


def _row(notes: int, own: Place, others: Sequence[Place], titles: dict[str, str], href: Callable[[str], str]) -> str:
    address, tab = excerpt(own.solo, own.stretch)
    elsewhere = ", ".join(
        f"{escape(titles[other.solo.slug])}, {_link(excerpt(other.solo, other.stretch)[0], href(other.solo.slug))}"
        for other in others
    )
    return f"<li>{notes} notes, {_link(address, '')} (<code>{escape(tab)}</code>), as in {elsewhere}</li>"


def _link(address: str, page: str) -> str:
    first = address.partition("-")[0]
    return f'<a class="tt-place-link" href="{escape(page)}#b{first}">bar {first.partition(".")[0]}</a>'
