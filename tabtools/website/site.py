"""What of a collection depends on where the site stands: its feed, its files, the foot of its pages."""

from __future__ import annotations

import posixpath
from collections.abc import Iterable, Iterator
from copy import copy
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import urljoin

from markupsafe import Markup

from tabtools.review.git import GitError
from tabtools.review.revisions import repository_at
from tabtools.source import SourceError, decode
from tabtools.website import feed
from tabtools.website.collection import Collection
from tabtools.website.facet_pages import Gathered
from tabtools.website.history_page import FEED, feed_entries
from tabtools.website.links import DOWNLOADS, SOLOS, Links, solo_path
from tabtools.website.markup import html
from tabtools.website.moved_page import way_on
from tabtools.website.openings import with_openings
from tabtools.website.page_build import Prepared, Sheet
from tabtools.website.placing import in_head
from tabtools.website.scripts import INDEX_PAGE, SOLO_PAGE, joined
from tabtools.website.solo_page.correction_form import correction_form_html
from tabtools.website.solo_page.footer import edit_address, foot_html
from tabtools.website.solo_page.page import ABOUT_HERE, CONTROLS_HERE, STUDY_HERE, TAB_HERE

SCRIPTS = "assets"


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """A site's name and addresses, empty where none is set; `docs` is the folder of its written pages.

    `issues` is where corrections are sent.
    """

    name: str
    url: str
    repository: str
    edit: str
    docs: Path
    issues: str = ""


class Site:
    """A collection as one site publishes it. `gathered` are its pages by path."""

    def __init__(self, collection: Collection, folder: Path, where: Whereabouts) -> None:
        self._collection = collection
        self._folder = folder
        self._where = where
        self._links = collection.links
        self._top = _top_of(folder)
        self.gathered = {page.path: page for page in collection.gathered}
        self._rarity = collection.rarity

    def of(self, collection: Collection) -> Site:
        """The same with the collection as it is now."""
        other = copy(self)
        other._collection = collection
        other._rarity = collection.rarity
        other.gathered = {page.path: page for page in collection.gathered}
        return other

    def downloads(self, slugs: Iterable[str]) -> Iterator[tuple[str, bytes]]:
        """(path below the site, content) of every file beside the pages of these solos."""
        for slug in slugs:
            for name, content in self._collection.solos[slug].open().downloads.items():
                yield f"{DOWNLOADS}/{name}", content

    def files(self) -> Iterator[tuple[str, str]]:
        """(path below the site, content) of the files that tell of all solos."""
        for name, script in self._collection.figures.items():
            yield f"{SOLOS}/{name}", script
        for old, slug in self._collection.moved.items():
            yield way_on(self._links, old, slug, self._collection.solos[slug].title)
        for entry in (SOLO_PAGE, INDEX_PAGE):
            yield f"{SCRIPTS}/{entry}", joined(entry)
        yield feed.NAME, feed.feed(self._where.name, self._where.url, self._entries())
        if corrections := self._corrections():
            title = f"{self._where.name}: corrections"
            yield FEED, feed.feed(title, self._where.url, corrections, FEED)

    def _corrections(self) -> list[feed.FeedEntry]:
        titles = {slug: one.title for slug, one in self._collection.solos.items()}
        return list(feed_entries(self._collection.corrections, titles, self._links))

    def _entries(self) -> list[feed.FeedEntry]:
        entries = []
        for slug, one in self._collection.solos.items():
            if not one.header.draft:
                author = one.header.player or self._where.name
                href = self._links.address(solo_path(slug))
                dates = self._collection.dates[slug]
                entry = feed.FeedEntry(slug, one.title, one.description, author, href, dates)
                if olds := self._collection.history.former.get(slug):
                    first = self._links.address(solo_path(olds[-1]))
                    entry = replace(entry, first=olds[-1], first_href=first)
                entries.append(entry)
        return entries

    def body(self, page: Gathered) -> Markup:
        """The body of a page by technique, device, chord type or time."""
        return page.body(self._links.seen_from(page.path))

    def completed(self, solo: Prepared, sheet: Sheet, url: str) -> dict[str, str]:
        """The parts of a solo's page by the places for them: what is known of it, with its relations to others, its
        foot and its script.

        `url` is its page below the site.
        """
        links = self._links.seen_from(solo_path(solo.slug))
        foot = foot_html(
            solo.slug,
            solo.header,
            links.file(f"{DOWNLOADS}/"),
            urljoin(self._where.url, url) if self._where.url else "",
            self._edit_address(solo.path),
            self._collection.dates[solo.slug],
        )
        history = self._collection.history.by_slug.get(solo.slug, "")
        form = self._correction_form(solo, sheet)
        related = self._collection.related.get(solo.slug, "")
        page = sheet.page
        return {
            CONTROLS_HERE: page.controls,
            TAB_HERE: page.tab,
            STUDY_HERE: page.study.html(self._rarity) + related + history + form,
            ABOUT_HERE: foot + _script(SOLO_PAGE, links),
        }

    def index(self) -> Markup:
        """The body of the index."""
        return self._collection.index + _script(INDEX_PAGE, self._links)

    def with_openings(self, page: str, path: str) -> str:
        """A page written by hand, of this path, with the openings of solos where it asks for them."""
        collection = self._collection
        return with_openings(page, collection.solos, collection.dates, self._links.seen_from(path))

    def _correction_form(self, solo: Prepared, sheet: Sheet) -> Markup:
        """The form for corrections; none where the file changed since it was read."""
        path = Path(solo.path).resolve()
        if not path.is_relative_to(self._top):
            return Markup()
        name = path.relative_to(self._top).as_posix()
        try:
            data = path.read_bytes()
            is_same = decode(data, sheet.source.path) == sheet.source
        except (OSError, SourceError):
            is_same = False
        return correction_form_html(sheet.written, data, solo.title, name, self._where.issues) if is_same else Markup()

    def _edit_address(self, path: str) -> str:
        root, docs = self._folder.parent.resolve(), self._where.docs.resolve()
        file = Path(path).resolve()
        if not docs.is_relative_to(root) or not file.is_relative_to(root):
            return ""
        names = docs.relative_to(root).as_posix(), file.relative_to(root).as_posix()
        return edit_address(self._where.repository, self._where.edit, *names)

    def announced(self, page: str, url: str) -> str:
        """A page, at this place below the site, that says where the feed is. Raises `PlaceMissingError`."""
        link = html(
            '<link rel="alternate feed" type="application/atom+xml" title="New solos" href="{href}">',
            href=posixpath.relpath(feed.NAME, posixpath.dirname(url) or "."),
        )
        return in_head(page, link)


def _top_of(folder: Path) -> Path:
    """The top of the repository that a folder belongs to; outside git, what is above the folder."""
    try:
        return repository_at(folder).top.resolve()
    except (GitError, OSError):
        return folder.parent.resolve()


def _script(entry: str, links: Links) -> Markup:
    """What loads a script into the page that needs it, within the part that the theme puts in place by itself."""
    return html('<script src="{file}" defer></script>', file=links.file(f"{SCRIPTS}/{entry}"))
