"""The foot of a solo's page: what can be taken away, how it may be used, how it is cited, where it is corrected."""

from __future__ import annotations

import posixpath
from urllib.parse import quote, urljoin

from markupsafe import Markup

from tabtools.checks.subject import Subject
from tabtools.exchange import compressed, midi, musicxml
from tabtools.model.solo import Header
from tabtools.reports.tab import plain_tab
from tabtools.timeline import Timeline
from tabtools.website.feed import Dates
from tabtools.website.markup import html

OFFERED = (("solo", "solo file"), ("txt", "plain text tab"), ("mid", "MIDI"), ("mxl", "MusicXML"))
"""The endings of the files beside a page, and what they are."""


def downloads_of(slug: str, subject: Subject) -> dict[str, bytes]:
    """The content of each file by its name."""
    timeline = subject.timeline
    content = {
        "solo": subject.source.text.encode(),
        "txt": _text(timeline, slug).encode(),
        "mid": midi(timeline),
        "mxl": compressed(musicxml(timeline)),
    }
    return {f"{slug}.{ending}": content[ending] for ending, _ in OFFERED}


def _text(timeline: Timeline, slug: str) -> str:
    header = timeline.solo.header
    lines = [header.title or slug, *filter(None, (header.player, header.rights))]
    return "\n".join(lines) + f"\n\n{plain_tab(timeline)}\n"


def foot_html(slug: str, header: Header, files: str, page_url: str, edit_url: str, dates: Dates) -> Markup:
    """The foot. `files` leads to the folder of the downloads; `page_url` and `edit_url` may be empty."""
    links = Markup().join(
        html('<li><a href="{files}" download>{said}</a></li>', files=files + quote(f"{slug}.{ending}"), said=said)
        for ending, said in OFFERED
    )
    edit = html('<p><a href="{edit_url}">Correct this transcription</a></p>', edit_url=edit_url) if edit_url else ""
    rights = header.rights or "not stated"
    return html(
        '<nav aria-label="Downloads"><ul class="tt-tags">{links}</ul></nav>'
        "<p>Rights: {rights}.</p>"
        "<p>To cite it: <cite>{citation}</cite></p>"
        "{edit}",
        links=links,
        rights=rights,
        citation=citation(slug, header, page_url, dates),
        edit=edit,
    )


def citation(slug: str, header: Header, page_url: str, dates: Dates) -> str:
    """How the transcription is cited in text."""
    parts = [header.player, f"“{header.title or slug}”", header.recording and f"from {header.recording}"]
    said = ", ".join(filter(None, parts))
    composer = f", composed by {header.composer}" if header.composer else ""
    where = f", {page_url}" if page_url else ""
    return f"{said}{composer}. Transcribed solo, version of {dates.updated:%Y-%m-%d}{where}."


def edit_address(repo_url: str, edit_uri: str, docs: str, file: str) -> str:
    """Where a file is edited: `edit_uri` leads to the folder of the pages, `docs` and `file` are paths of one root."""
    if not edit_uri or not (repo_url or "://" in edit_uri):
        return ""
    base = edit_uri
    if "://" not in edit_uri:
        base = (repo_url if edit_uri[:1] in "?#" else repo_url.rstrip("/") + "/") + edit_uri
    if not base.startswith(("https://", "http://")):
        return ""
    relative = quote(posixpath.relpath(file, docs))
    return base + relative if edit_uri[:1] in "?#" else urljoin(base if base.endswith("/") else base + "/", relative)
