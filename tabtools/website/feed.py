"""The Atom feed of solos (RFC 4287), and the dates it goes by.

Dates are those of git: a solo is published with the first commit that has its file and updated with the last. Where
git cannot say, both are the file's own time. A shallow clone knows only its own commits.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple
from urllib.parse import urljoin
from uuid import NAMESPACE_URL, uuid5
from xml.sax.saxutils import escape, quoteattr

from tabtools.review.git import GitError
from tabtools.review.git_log import WITH_FILES, git_log

NAME = "feed.xml"
MOST_ENTRIES = 50
_NO_CHAR = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What is not in the production Char of XML 1.0 (section 2.2)."""


@dataclass(frozen=True, slots=True)
class Dates:
    """When a solo was published and last changed."""

    published: datetime
    updated: datetime


@dataclass(frozen=True, slots=True)
class FeedEntry:
    """A solo, or a correction of one, as the feed tells it; `href` is its page below the site.

    The id of an entry never changes (RFC 4287, 4.2.6): it is the link where the site has an address, else made from
    `slug`; always from `slug` where the link may change (`is_fleeting`). Where the solo had another name first, `first`
    is that slug, and `first_href` the page it had.
    """

    slug: str
    title: str
    summary: str
    author: str
    href: str
    dates: Dates
    is_fleeting: bool = False
    first: str = ""
    first_href: str = ""


class Dated(NamedTuple):
    """Dates by the names of files without suffix; `fault` says why git could not tell them."""

    dates: dict[str, Dates]
    fault: GitError | None = None


def dates_of(folder: Path, paths: Sequence[Path], former: Mapping[str, Sequence[str]] | None = None) -> Dated:
    """The dates of these files of a folder; `former` are names that some had before, by their names, without suffix."""
    fault = None
    try:
        known = _from_git(folder)
    except GitError as error:
        known, fault = {}, error
    dates = {}
    for path in paths:
        seen = known.get(path.relative_to(folder).as_posix())
        if seen is None:
            seen = dates_of_file(path)
        olds = [known.get(f"{old}{path.suffix}") for old in (former or {}).get(path.stem, ())]
        first = min((old.published for old in olds if old is not None), default=seen.published)
        dates[path.stem] = Dates(min(first, seen.published), seen.updated)
    return Dated(dates, fault)


def dates_of_file(path: Path) -> Dates:
    """When a file was last written."""
    own = datetime.fromtimestamp(int(path.stat().st_mtime), UTC)
    return Dates(own, own)


def _from_git(folder: Path) -> dict[str, Dates]:
    """What the history says, by path below the folder. Raises `GitError`."""
    options = *WITH_FILES, "--relative", "--diff-filter=AMRT"
    dates: dict[str, Dates] = {}
    for commit, _, files in git_log(folder, options, "--", "."):
        when = commit.committed
        for name in (file.path for file in files):
            seen = dates.get(name)
            dates[name] = Dates(min(when, seen.published), max(when, seen.updated)) if seen else Dates(when, when)
    return dates


def feed(title: str, site_url: str, entries: Sequence[FeedEntry], name: str = NAME) -> str:
    """The feed, the newest first, as a file of this name. Without a `site_url` its links are relative and its ids made
    from names."""
    newest = sorted(entries, key=lambda one: (one.dates.published, one.slug), reverse=True)[:MOST_ENTRIES]
    updated = max((one.dates.updated for one in newest), default=datetime.fromtimestamp(0, UTC))
    own = f'<link rel="self" href={quoteattr(urljoin(site_url, name))}/>' if site_url else ""
    site = site_url or "./"
    return (
        '<?xml version="1.0" encoding="utf-8"?>\n<feed xmlns="http://www.w3.org/2005/Atom">'
        f"<id>{escape(_feed_id(title, site_url, name))}</id><title>{_text(title)}</title>"
        f"<updated>{_time(updated)}</updated>"
        f"{own}<link href={quoteattr(site)}/>{''.join(_entry(one, site_url) for one in newest)}</feed>\n"
    )


def _entry(one: FeedEntry, site_url: str) -> str:
    link = urljoin(site_url, one.href) if site_url else one.href
    summary = f"<summary>{_text(one.summary)}</summary>" if one.summary else ""
    known_as = urljoin(site_url, one.first_href or one.href)
    name = known_as if site_url and not one.is_fleeting else _name(one.first or one.slug)
    return (
        f"<entry><id>{escape(name)}</id><title>{_text(one.title)}</title>"
        f"<link href={quoteattr(link)}/><published>{_time(one.dates.published)}</published>"
        f"<updated>{_time(one.dates.updated)}</updated><author><name>{_text(one.author)}</name></author>"
        f"{summary}</entry>"
    )


def _feed_id(title: str, site_url: str, name: str) -> str:
    if name == NAME:
        return site_url or _name(title)
    return urljoin(site_url, name) if site_url else _name(f"{title} {name}")


def _name(text: str) -> str:
    return uuid5(NAMESPACE_URL, f"tabtools:{text}").urn


def _time(when: datetime) -> str:
    return when.strftime("%Y-%m-%dT%H:%M:%SZ")


def _text(text: str) -> str:
    """Text as XML can carry it: the rest is left out."""
    return escape(_NO_CHAR.sub("", text))
