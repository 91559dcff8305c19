"""Pages by technique, by device and by chord type: the very bars of every solo, as links."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from tabtools.engraving.metrics import with_accidentals
from tabtools.website.facets import FacetPlace, Facets, file_name
from tabtools.website.links import BY, Links, place_link
from tabtools.website.markup import html
from tabtools.wording import plural

MOST_PLACES = 60


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
    """A page: its path without suffix below the site, its title, its body by the links that lead from it."""

    path: str
    title: str
    description: str
    body: Callable[[Links], Markup]


def gathered_pages(solos: Sequence[Facets]) -> list[Gathered]:
    """A page for each technique, device and chord type that occurs, in order of kind and name."""
    pages = []
    for kind in KINDS:
        names = sorted({name for one in solos for name in kind.places(one)}, key=str.casefold)
        for name in names:
            title = f"{kind.title.removesuffix('s')}: {kind.told(name)}"
            path = _path(kind, name)
            pages.append(Gathered(path, title, f"{title}: every bar, in all solos.", _body(kind, name, title, solos)))
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
                '<li><a href="{page}">{told}</a> <small>{count}</small></li>',
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


def _body(kind: FacetKind, name: str, title: str, solos: Sequence[Facets]) -> Callable[[Links], Markup]:
    def body(links: Links) -> Markup:
        rows = Markup().join(
            html("<li><strong>{title}</strong>{places}</li>", title=one.title, places=_places(places, one.slug, links))
            for one in sorted(solos, key=lambda one: (one.title.casefold(), one.slug))
            if (places := kind.places(one).get(name))
        )
        return html('<h1>{title}</h1><ul class="tt-gathered">{rows}</ul>', title=title, rows=rows)

    return body


def _places(places: Sequence[FacetPlace], slug: str, links: Links) -> Markup:
    """Links to places of a solo: in a row, or each on a line of its own where something is said of them."""
    shown = [
        place_link(links.solo(slug, place.address), place.words)
        + (html(" {said}", said=with_accidentals(place.said)) if place.said else "")
        for place in places[:MOST_PLACES]
    ]
    more = len(places) - MOST_PLACES
    if more > 0:
        shown.append(html("and {link}", link=place_link(links.solo(slug), f"{more} more {plural('place', more)}")))
    if any(place.said for place in places):
        return html("<ul>{rows}</ul>", rows=Markup().join(html("<li>{one}</li>", one=one) for one in shown))
    return html(": {shown}", shown=Markup(", ").join(shown))


def _path(kind: FacetKind, name: str) -> str:
    return f"{BY}/{kind.folder}/{file_name(name)}"
