"""The addresses of a site's pages, and links from one of them to the others and to places in a tab.

A page is named by its path below the site without a suffix, such as `solos/dusk`; what its address looks like is the
site's choice, `solos/dusk/` or `solos/dusk.html`.
"""

from __future__ import annotations

import posixpath
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from urllib.parse import quote

from markupsafe import Markup

from tabtools.model.solo import Address, AddressRange
from tabtools.reports.open_words import where
from tabtools.wording import number_runs

SOLOS, BY, CORRECTIONS = "solos", "by", "by/time/corrections"
INDEX = f"{SOLOS}/index"
DOWNLOADS = f"{SOLOS}/files"

_LOOP = Markup('<a class="tt-loop" href="{}" aria-label="Loop {}" data-search-exclude>Loop it</a>')
_PLACE = Markup('<a class="tt-place-link" href="{}">{}</a>')


@dataclass(frozen=True)
class Links:
    """Links as they lead from one page: `here` is its path, `anchors` are the ids of its tab by address (`5.2.3`).

    `solos` are the slugs of the solos that can be linked to.
    """

    directory_urls: bool
    solos: frozenset[str] = frozenset()
    here: str = INDEX
    anchors: Mapping[str, str] = field(default_factory=dict)

    def seen_from(self, page: str, anchors: Mapping[str, str] | None = None) -> Links:
        """The same from another page, or from this one with its tab."""
        return replace(self, here=page, anchors=anchors or {})

    def with_solo(self, slug: str) -> Links:
        """The same where there is this solo too."""
        return replace(self, solos=self.solos | {slug})

    def without_solo(self, slug: str) -> Links:
        """The same where this solo is no more."""
        return replace(self, solos=self.solos - {slug})

    def address(self, page: str) -> str:
        """A page below the site."""
        if page.rpartition("/")[2] == "index" and self.directory_urls:
            return quote(page.removesuffix("index"))
        return quote(page) + ("/" if self.directory_urls else ".html")

    def page(self, page: str) -> str:
        """To a page."""
        return self.file(self.address(page))

    def file(self, address: str) -> str:
        """To what has this address below the site."""
        way = posixpath.relpath(address, posixpath.dirname(self.address(self.here)) or ".")
        return f"{way}/" if address.endswith("/") else way

    def solo(self, slug: str, place: str = "") -> str:
        """To a solo's page, or to a place in its tab, such as `5.2`."""
        return self.page(solo_path(slug)) + (f"#b{place}" if place else "")

    def solo_named(self, slug: str) -> str | None:
        """To a solo's page, None where there is no such solo."""
        return self.solo(slug) if slug in self.solos else None

    def place(self, place: Address | AddressRange) -> Markup:
        """A link to where a place of this page begins; plain words where its tab has no such place."""
        first = place.first if isinstance(place, AddressRange) else place
        return self.place_called(first, place_words(place))

    def place_called(self, first: Address, words: str) -> Markup:
        """These words as a link to a place of this page."""
        anchor = self.anchor(first)
        return Markup.escape(words) if anchor is None else _PLACE.format(f"#{anchor}", words)

    def anchor(self, first: Address) -> str | None:
        """The id of a place of this page, of its count or its bar; None where the tab has none of them."""
        known = self.anchors
        return known.get(str(first)) or known.get(f"{first.bar}.{first.count}") or known.get(str(first.bar))


def solo_path(slug: str) -> str:
    """The path of a solo's page."""
    return f"{SOLOS}/{slug}"


def place_link(href: str, words: str) -> Markup:
    """A link to a place of a tab."""
    return _PLACE.format(href, words)


def loop_link(stretch: AddressRange) -> Markup:
    """A link that has the page loop a stretch."""
    return _LOOP.format("#" + stretch_anchor(stretch), place_words(stretch))


def stretch_anchor(stretch: AddressRange) -> str:
    """A stretch, whole counts of it, as an address ends with it, `b5.3-b6`. Read by `practice/asked.js`."""
    ends = [f"b{end.bar}" + (f".{end.count}" if end.count is not None else "") for end in (stretch.first, stretch.last)]
    return "-".join(ends)


def place_words(place: Address | AddressRange) -> str:
    """`bar 5`, `bar 5, count 2`, `bars 5–6`; strokes are left out."""
    return where(place if isinstance(place, AddressRange) else AddressRange(place, place), "–")


def runs(numbers: Iterable[int]) -> str:
    """Rising numbers, shortened, as the page's script reads them: `3-7 9`."""
    return " ".join(f"{first}-{last}" if last > first else f"{first}" for first, last in number_runs(numbers))
