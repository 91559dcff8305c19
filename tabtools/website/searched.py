"""What a site's search reads of a page that we make: its words as prose, without drawings, controls and counts."""

from __future__ import annotations

import re
from html import escape
from html.parser import HTMLParser

_DRAWING = re.compile(r"<svg\b.*?</svg>", re.DOTALL)
"""Ours are not nested. The search would take minutes to find fret numbers."""

_UNREAD = {"button", "form", "nav", "script", "select", "style"}
_WITHOUT_END = {"br", "hr", "img", "input", "link", "meta", "wbr"}
_TITLES = {"h1", "h2", "h3", "h4", "h5", "h6"}
_ENDS = {"dt": ": ", "dd": " · ", "li": " · ", "td": ", ", "th": ", ", "br": ", ", "figcaption": ", "}
_BLOCKS = {"article", "blockquote", "dl", "footer", "header", "ol", "p", "pre", "section", "table", "tr", "ul"}
_LOOSE_END = re.compile(r"[\s·,:]+$")
_BEFORE_STOP = re.compile(r"\s+([,.;:)])")


class SearchedWords:
    """Has the search read a page as prose, and keeps it whole meanwhile."""

    def __init__(self) -> None:
        self._whole = ""

    def prose(self, html: str) -> str:
        """What is to be read of a page; the page is remembered."""
        self._whole = html
        return prose_of(html)

    def whole(self) -> str:
        """The page that was read last, as it was."""
        return self._whole


def prose_of(html: str) -> str:
    """The titles of a page's parts and its paragraphs, with a sign between what stands apart on the page.

    A title without an id of its own has that of its section, or is a paragraph; that of the page is known.
    """
    reader = _Listener()
    reader.feed(_DRAWING.sub(" ", html))
    reader.close()
    reader.end_paragraph()
    return "\n".join(reader.parts)


class _Listener(HTMLParser):
    """Gathers titles and paragraphs."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self._words: list[str] = []
        self._unread, self._depth = "", 0
        self._part, self._title = "", ""

    def end_paragraph(self) -> None:
        """Begin a new paragraph."""
        if said := self._said():
            self.parts.append(f"<p>{escape(said, quote=False)}</p>")

    def _said(self) -> str:
        words = " ".join("".join(self._words).split())
        self._words.clear()
        return _LOOSE_END.sub("", _BEFORE_STOP.sub(r"\1", words))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if self._unread:
            self._depth += tag == self._unread
            return
        given = dict(attrs)
        if tag not in _WITHOUT_END and (tag in _UNREAD or "data-search-exclude" in given):
            self._unread, self._depth = tag, 1
            return
        if tag in _TITLES or tag in _BLOCKS:
            self.end_paragraph()
        if tag == "section":
            self._part = given.get("id") or ""
        if tag in _TITLES:
            self._title, self._part = given.get("id") or self._part, ""
        if tag in _WITHOUT_END:
            self._words.append(_ENDS.get(tag, " "))

    def handle_endtag(self, tag: str) -> None:
        if self._unread:
            self._depth -= tag == self._unread
            if not self._depth:
                self._unread = ""
                self._words.append(" ")
        elif tag in _TITLES and self._title:
            self.parts.append(f'<{tag} id="{escape(self._title)}">{escape(self._said(), quote=False)}</{tag}>')
        elif tag == "h1":
            self._words.clear()
        elif tag in _TITLES or tag in _BLOCKS:
            self.end_paragraph()
        else:
            self._words.append(_ENDS.get(tag, ""))

    def handle_data(self, data: str) -> None:
        if not self._unread:
            self._words.append(data)
