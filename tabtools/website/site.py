"""What of a collection depends on where the site stands: its feed, its files, the foot of its pages."""

from __future__ import annotations

import posixpath
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path
from urllib.parse import urljoin

from tabtools.website import feed
from tabtools.website.collection import Collection
from tabtools.website.figure_index import NAME as FIGURES
from tabtools.website.foot import FOLDER, edit_address, foot_html
from tabtools.website.pages import SoloPage
from tabtools.website.remembered import FEED, feed_entries

SOLOS = "solos"


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """A site's name and addresses, empty where none is set; `docs` is the folder of its written pages."""

    name: str
    url: str
    repository: str
    edit: str
    docs: Path
    directory_urls: bool


class Site:
    """A collection as one site publishes it. `gathered` are its pages by path."""

    def __init__(self, collection: Collection, folder: Path, where: Whereabouts) -> None:
        self._collection = collection
        self._folder = folder
        self._where = where
        self._ending = "/" if where.directory_urls else ".html"
        self.gathered = {page.path: page for page in collection.gathered}

    def files(self) -> Iterator[tuple[str, str | bytes]]:
        """(path below the site, content) of every file that is no page."""
        for downloads in self._collection.downloads.values():
            for one in downloads:
                yield f"{SOLOS}/{FOLDER}/{one.name}", one.content()
        yield f"{SOLOS}/{FIGURES}", self._collection.figures
        yield feed.NAME, feed.feed(self._where.name, self._where.url, self._entries())
        if corrections := self._corrections():
            title = f"{self._where.name}: corrections"
            yield FEED, feed.feed(title, self._where.url, corrections, FEED)

    def _corrections(self) -> list[feed.Entry]:
        pages = self._collection.pages
        recent = [(slug, one) for slug, one in self._collection.remembered.recent if not pages[slug].draft]
        titles = {slug: page.title for slug, page in pages.items()}
        return list(feed_entries(recent, titles, lambda slug: f"{SOLOS}/{slug}{self._ending}"))

    def _entries(self) -> list[feed.Entry]:
        entries = []
        for slug, page in self._collection.pages.items():
            if not page.draft:
                author = self._collection.subjects[slug].solo.header.player or self._where.name
                href = f"{SOLOS}/{slug}{self._ending}"
                dates = self._collection.dates[slug]
                entries.append(feed.Entry(slug, page.title, page.description, author, href, dates))
        return entries

    def from_gathered(self, slug: str) -> str:
        """From a page by technique, device or chord type to a solo."""
        return f"{'../../../' if self._where.directory_urls else '../../'}{SOLOS}/{slug}{self._ending}"

    def completed(self, solo: SoloPage, url: str) -> str:
        """What is known of a solo, with its relations to others and its foot; `url` is its page below the site."""
        subject = self._collection.subjects[solo.slug]
        foot = foot_html(
            solo.slug,
            subject.solo.header,
            self._collection.downloads[solo.slug],
            _relative(f"{SOLOS}/{FOLDER}", url) + "/",
            urljoin(self._where.url, url) if self._where.url else "",
            self._edit_address(subject.source.path),
            self._collection.dates[solo.slug],
        )
        history = self._collection.remembered.history.get(solo.slug, "")
        return solo.study + self._collection.related.get(solo.slug, "") + history + foot

    def _edit_address(self, path: str) -> str:
        root, docs = self._folder.parent.resolve(), self._where.docs.resolve()
        file = Path(path).resolve()
        if not docs.is_relative_to(root) or not file.is_relative_to(root):
            return ""
        names = docs.relative_to(root).as_posix(), file.relative_to(root).as_posix()
        return edit_address(self._where.repository, self._where.edit, *names)

    def announced(self, html: str, url: str) -> str:
        """A page, at this place below the site, that says where the feed is."""
        href = escape(_relative(feed.NAME, url))
        link = f'<link rel="alternate" type="application/atom+xml" title="New solos" href="{href}">'
        return html.replace("</head>", f"{link}</head>", 1)


def _relative(path: str, url: str) -> str:
    """From a page to a file, both below the site."""
    return posixpath.relpath(path, posixpath.dirname(url) or ".")
