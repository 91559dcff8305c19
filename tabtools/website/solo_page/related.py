"""Figures that a solo shares with others, as links to both places."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from tabtools.search.collection import Place
from tabtools.search.shared import shared_figures
from tabtools.website.facets import Facets, excerpt
from tabtools.website.links import Links, place_link, solo_path

MOST_FIGURES, MOST_PLACES = 8, 5


def related_html(solos: Sequence[Facets], links: Links) -> dict[str, str]:
    """By slug, what is said of the figures that solos share."""
    titles = {one.slug: one.title for one in solos}
    rows: dict[str, list[str]] = {}
    for figure in shared_figures([one.searched for one in solos]):
        by_solo: dict[str, list[Place]] = {}
        for place in figure.places:
            by_solo.setdefault(place.solo.slug, []).append(place)
        for slug, own in by_solo.items():
            if len(rows.setdefault(slug, [])) < MOST_FIGURES:
                others = [places[0] for other, places in by_solo.items() if other != slug][:MOST_PLACES]
                rows[slug].append(_row(figure.notes, own[0], others, titles, links.seen_from(solo_path(slug))))
    return {
        slug: '<section class="tt-related" aria-labelledby="related"><h2 id="related">Heard in other solos</h2>'
        f"<ul>{''.join(own)}</ul></section>"
        for slug, own in rows.items()
        if own
    }


def _row(notes: int, own: Place, others: Sequence[Place], titles: dict[str, str], links: Links) -> str:
    place, tab = _placed(own)
    elsewhere = ", ".join(
        f"{escape(titles[other.solo.slug])}, {_link(links.solo(other.solo.slug), _placed(other)[0])}"
        for other in others
    )
    return f"<li>{notes} notes, {_link('', place)} (<code>{escape(tab)}</code>), as in {elsewhere}</li>"


def _placed(place: Place) -> tuple[str, str]:
    """The address of a place's first stroke, and its strokes as the format writes them."""
    address, tab = excerpt(place.solo, place.stretch)
    return address.partition("-")[0], tab


def _link(page: str, place: str) -> str:
    return place_link(f"{page}#b{place}", f"bar {place.partition('.')[0]}")
