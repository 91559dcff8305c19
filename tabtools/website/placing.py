"""What is put into a finished page, and what is said when it has no place for it.

Plugins and templates come between: one may shorten pages, another leave something out. A page without its tab would
look like any other.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import PurePosixPath

_ADVICE = "put plugins that shorten or rewrite pages after tabtools in mkdocs.yml, and let hooks and templates spare it"


class PlaceMissingError(Exception):
    """A finished page that lacks a place; the text says which and what to do."""


def filled(html: str, parts: Mapping[str, str]) -> str:
    """A page with each part in the place of its empty element. Raises `PlaceMissingError` where that is not there
    exactly once."""
    places = []
    for element, part in parts.items():
        found = list(_empty(element).finditer(html))
        if len(found) != 1:
            how = f"{len(found)} times" if found else "nowhere"
            raise PlaceMissingError(f"the finished page has {element} {how}, where it should stand once; {_ADVICE}")
        places.append((*found[0].span(), part))
    for start, end, part in sorted(places, reverse=True):
        html = f"{html[:start]}{part}{html[end:]}"
    return html


def is_place_in(html: str, element: str) -> bool:
    """Whether a page has a place for this part."""
    return _empty(element).search(html) is not None


def in_head(html: str, element: str) -> str:
    """A page with an element in its head. Raises `PlaceMissingError` where that has no end."""
    before, end, after = html.partition("</head>")
    if not end:
        raise PlaceMissingError(f"the finished page has no </head>; {_ADVICE}")
    return f"{before}{element}{end}{after}"


def check_linked(html: str, assets: Iterable[str]) -> None:
    """Raises `PlaceMissingError` where a page does not load these files: `x.css` may have become `x.min.css`."""
    missing = [asset for asset in assets if not _name(asset).search(html)]
    if missing:
        raise PlaceMissingError(
            f"the finished page does not load {' and '.join(missing)}; a template of your own has to load extra_css "
            "and the scripts of extra.polyfills, as base.html of the theme does"
        )


@cache
def _name(asset: str) -> re.Pattern[str]:
    path = PurePosixPath(asset)
    return re.compile(rf"{re.escape(str(path.with_suffix('')))}([.-][\w.-]*)?{re.escape(path.suffix)}\b")


@cache
def _empty(element: str) -> re.Pattern[str]:
    """An empty element as it is written `<x></x>`, or shorter."""
    name = re.escape(element.partition(">")[0].strip("<"))
    return re.compile(rf"<{name}\s*(?:/>|>\s*</{name}\s*>)")
