"""Figures that a solo shares with others, as links to both places."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from tabtools.search.collection import FoundPlace
from tabtools.search.shared import shared_figures
from tabtools.website.facets import Facets, excerpt
from tabtools.website.links import Links, place_link, solo_path
from tabtools.website.markup import html

MOST_FIGURES, MOST_PLACES = 8, 5


def related_html(solos: Sequence[Facets], links: Links) -> dict[str, Markup]:
    """By slug, what is said of the figures that solos share."""
    titles = {one.slug: one.title for one in solos}
    rows: dict[str, list[Markup]] = {}
    for figure in shared_figures([one.searched for one in solos]):
        by_solo: dict[str, list[FoundPlace]] = {}
        for place in figure.places:
            by_solo.setdefault(place.solo.slug, []).append(place)
        for slug, own in by_solo.items():
            if len(rows.setdefault(slug, [])) < MOST_FIGURES:
                others = [places[0] for other, places in by_solo.items() if other != slug][:MOST_PLACES]
                rows[slug].append(_row(figure.notes, own[0], others, titles, links.seen_from(solo_path(slug))))
    return {
        slug: html(
            '<section class="tt-related" aria-labelledby="related">'
            '<h2 id="related">Heard in other solos</h2>'
            "<ul>{own}</ul></section>",
            own=Markup().join(own),
        )
        for slug, own in rows.items()
        if own
    }


def _row(notes: int, own: FoundPlace, others: Sequence[FoundPlace], titles: dict[str, str], links: Links) -> Markup:
    place, tab = _placed(own)
    elsewhere = Markup(", ").join(
        html("{title}, {link}", title=titles[slug], link=_link(links.solo(slug), _placed(other)[0]))
        for other in others
        for slug in (other.solo.slug,)
    )
    return html(
        "<li>{notes} notes, {link} (<code>{tab}</code>), as in {elsewhere}</li>",
        notes=notes,
        link=_link("", place),
        tab=tab,
        elsewhere=elsewhere,
    )


def _placed(place: FoundPlace) -> tuple[str, str]:
    """The address of a place's first stroke, and its strokes as the format writes them."""
    address, tab = excerpt(place.solo, place.stretch)
    return address.partition("-")[0], tab


def _link(page: str, place: str) -> Markup:
    return place_link(f"{page}#b{place}", f"bar {place.partition('.')[0]}")
