"""Places of a solo as links into its tab, and notes as runs of numbers that the page's script reads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape

from tabtools.model.solo import Address, AddressRange

Anchors = Mapping[str, str]
"""The ids of a tab by address (`5`, `5.2`, `5.2.3`)."""


def place_link(anchors: Anchors, place: Address | AddressRange, page: str = "") -> str:
    """A link to where a place begins, `page` before the `#`; plain words where the tab has no such place."""
    first = place.first if isinstance(place, AddressRange) else place
    return linked(anchors, first, place_words(place), page)


def linked(anchors: Anchors, first: Address, words: str, page: str = "") -> str:
    """These words as a link to a place."""
    anchor = anchors.get(str(first)) or anchors.get(f"{first.bar}.{first.count}") or anchors.get(str(first.bar))
    if anchor is None:
        return escape(words)
    return f'<a class="tt-place-link" href="{escape(page)}#{anchor}">{escape(words)}</a>'


def place_words(place: Address | AddressRange) -> str:
    """`bar 5`, `bar 5, count 2`, `bars 5–6`; strokes are left out."""
    first, last = (place.first, place.last) if isinstance(place, AddressRange) else (place, place)
    if first.bar != last.bar:
        return f"bars {first.bar}–{last.bar}"
    if first.count is None:
        return f"bar {first.bar}"
    if last.count in (None, first.count):
        return f"bar {first.bar}, count {first.count}"
    return f"bar {first.bar}, counts {first.count}–{last.count}"


def runs(numbers: Iterable[int]) -> str:
    """Rising numbers, shortened: `3-7 9`."""
    found: list[list[int]] = []
    for number in numbers:
        if found and number == found[-1][1] + 1:
            found[-1][1] = number
        else:
            found.append([number, number])
    return " ".join(f"{first}-{last}" if last > first else f"{first}" for first, last in found)
