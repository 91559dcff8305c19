"""Pages by technique, by device and by chord type: the very bars of every solo, drawn and as links."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

from markupsafe import Markup

from tabtools.engraving.metrics import with_accidentals
from tabtools.website.facets import FacetPlace, Facets, file_name
from tabtools.website.links import BY, Links, place_link
from tabtools.website.markup import html
from tabtools.website.solo_page.page import SoloPage
from tabtools.website.specimens import bars_shown, facts_of, with_glyphs
from tabtools.wording import plural

MOST_PLACES = 60
MOST_DRAWN, MOST_BARS = 40, 2
"""Places of a page that are drawn, and bars of each."""

SOUGHT_FIRST = 4
"""How many times more than a solo with a tag of its name a page is what somebody sought."""

PageOf = Callable[[str], SoloPage]
"""The page of a solo by its slug."""


@dataclass(frozen=True, slots=True)
class FacetKind:
    """What solos are gathered by: the folder of its pages, its name, how its entries are told."""

    folder: str
    title: str
    places: Callable[[Facets], dict[str, tuple[FacetPlace, ...]]]
    told: Callable[[str], str]


def plain(name: str) -> str:
    """`hammer-on` stays, `scale-run` is `scale run`."""
    return name.replace("-", " ") if name not in ("hammer-on", "pull-off", "pre-bend") else name


KINDS = (
    FacetKind("technique", "Techniques", lambda one: one.techniques, plain),
    FacetKind("device", "Devices", lambda one: one.devices, plain),
    FacetKind("chord", "Chord types", lambda one: one.chords, with_accidentals),
)


@dataclass(frozen=True, slots=True)
class Gathered:
    """A page: its path without suffix below the site, its title, its body by the links that lead from it.

    `tags` are what the search finds it by before all others.
    """

    path: str
    title: str
    description: str
    body: Callable[[Links], Markup]
    tags: tuple[str, ...] = ()

    def meta(self) -> dict[str, object]:
        """What a page's front matter would say."""
        told = {"title": escape(self.title), "description": escape(self.description)}
        return told | {"hide": ["toc"], "tags": [escape(tag) for tag in self.tags], "search": {"boost": SOUGHT_FIRST}}


def gathered_pages(solos: Sequence[Facets], page_of: PageOf) -> list[Gathered]:
    """A page for each technique, device and chord type that occurs, in order of kind and name."""
    pages = []
    for kind in KINDS:
        names = sorted({name for one in solos for name in kind.places(one)}, key=str.casefold)
        for name in names:
            title = f"{kind.title.removesuffix('s')}: {kind.told(name)}"
            path = _path(kind, name)
            body = _body(kind, name, title, solos, page_of)
            pages.append(Gathered(path, title, f"{title}: every bar, in all solos.", body, (kind.told(name),)))
    return pages


def directory(solos: Sequence[Facets], links: Links) -> Markup:
    """Links to all of these pages, by kind."""
    parts = []
    for kind in KINDS:
        counts: dict[str, int] = {}
        for one in solos:
            for name in kind.places(one):
                counts[name] = counts.get(name, 0) + 1
        listed = Markup().join(
            html(
                '<li><a href="{page}">{told}</a> <small data-search-exclude>{count}</small></li>',
                page=links.page(_path(kind, name)),
                told=kind.told(name),
                count=count,
            )
            for name, count in sorted(counts.items(), key=lambda entry: entry[0].casefold())
        )
        if listed:
            parts.append(
                html(
                    '<h3 id="{folder}">{title}</h3><ul class="tt-tags">{listed}</ul>',
                    folder=kind.folder,
                    title=kind.title,
                    listed=listed,
                )
            )
    return Markup().join(parts)


def _body(
    kind: FacetKind, name: str, title: str, solos: Sequence[Facets], page_of: PageOf
) -> Callable[[Links], Markup]:
    def body(links: Links) -> Markup:
        having = [(one, places) for one in solos if (places := kind.places(one).get(name))]
        having.sort(key=lambda pair: (pair[0].title.casefold(), pair[0].slug))
        each = max(1, MOST_DRAWN // len(having))
        rows = Markup().join(
            _solo(one, places, each if at < MOST_DRAWN else 0, page_of, links)
            for at, (one, places) in enumerate(having)
        )
        return with_glyphs(html('<h1>{title}</h1><div class="tt-gathered">{rows}</div>', title=title, rows=rows))

    return body


def _solo(one: Facets, places: Sequence[FacetPlace], most_drawn: int, page_of: PageOf, links: Links) -> Markup:
    """The places of a solo: the first ones drawn, the others in a row."""
    facts = facts_of(one.header)
    page = page_of(one.slug) if most_drawn else None
    drawn = Markup().join(_drawn(place, one, page, links) for place in places[:most_drawn]) if page else ""
    others = _others(places[most_drawn:], one.slug, links)
    return html(
        '<section><h2><a href="{href}">{title}</a> <small>{facts}</small></h2>'
        '<div class="tt-specimens">{drawn}</div>{others}</section>',
        href=links.solo(one.slug),
        title=one.title,
        facts=facts,
        drawn=drawn,
        others=html("<p>{others}</p>", others=others) if others else "",
    )


def _drawn(place: FacetPlace, one: Facets, page: SoloPage, links: Links) -> Markup:
    """A place with its bars."""
    first, last = place.bars
    shown = range(first, min(last, first + MOST_BARS - 1) + 1)
    anchors = [page.anchors[str(bar)] for bar in shown if str(bar) in page.anchors]
    return html(
        '<figure class="tt-specimen"><figcaption>{link}{said}</figcaption>{bars}</figure>',
        link=_link(place, one.slug, links),
        said=html(" {said}", said=with_accidentals(place.said)) if place.said else "",
        bars=bars_shown(page.tab, anchors, one.header.instrument.tuning),
    )


def _link(place: FacetPlace, slug: str, links: Links) -> Markup:
    return place_link(links.solo(slug, place.address), place.words)


def _others(places: Sequence[FacetPlace], slug: str, links: Links) -> Markup:
    """Links to places in a row."""
    shown = [_link(place, slug, links) for place in places[:MOST_PLACES]]
    more = len(places) - MOST_PLACES
    if more > 0:
        shown.append(html("and {link}", link=place_link(links.solo(slug), f"{more} more {plural('place', more)}")))
    return Markup(", ").join(shown)


def _path(kind: FacetKind, name: str) -> str:
    return f"{BY}/{kind.folder}/{file_name(name)}"
