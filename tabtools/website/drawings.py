"""Drawings kept from those who read a page for its words: the search would take minutes to find fret numbers."""

from __future__ import annotations

import re

_DRAWING = re.compile(r"<svg\b.*?</svg>", re.DOTALL)
"""Ours are not nested."""


class Drawings:
    """Takes the drawings out of pages until their words are read."""

    def __init__(self) -> None:
        self._whole: dict[str, str] = {}

    def taken_out(self, uri: str, html: str) -> str:
        """A page without its drawings; it is remembered whole."""
        bare = _DRAWING.sub("", html)
        if bare != html:
            self._whole[uri] = html
        return bare

    def put_back(self, uri: str, html: str) -> str:
        """The page as it was before its drawings were taken out; another one as it is."""
        return self._whole.pop(uri, html)
