"""The solos that are searched, and what is found in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from tabtools.search.columns import value_of
from tabtools.search.match import Stretch, stretches
from tabtools.search.query import Query
from tabtools.search.strokes import Strokes


@dataclass(frozen=True, slots=True)
class Searched:
    """A solo that is searched: where its file is, its short name, its strokes."""

    path: str
    slug: str
    strokes: Strokes


class FoundPlace(NamedTuple):
    """A stretch of a solo."""

    solo: Searched
    stretch: Stretch


@dataclass(frozen=True, slots=True)
class Found:
    """What was found in one solo, in order."""

    solo: Searched
    stretches: tuple[Stretch, ...]


def find(query: Query, solos: Iterable[Searched], but: FoundPlace | None = None) -> Iterator[Found]:
    """The solos in which a query holds somewhere, `but` left out."""
    for solo in solos:
        found = [stretch for stretch in stretches(query, solo.strokes) if FoundPlace(solo, stretch) != but]
        if found:
            yield Found(solo, tuple(found))


class Excerpts:
    """Stretches of one solo as they are shown."""

    def __init__(self, strokes: Strokes):
        self._strokes = strokes
        self._addresses = strokes.addresses.split(" ")
        self._texts = strokes.texts.split(" ")

    def range(self, stretch: Stretch) -> str:
        """From address to address, as claims and links write it: `5.1.1-5.2.3`."""
        first, last = (self._addresses[at] for at in stretch)
        return first if first == last else f"{first}-{last}"

    def tab(self, stretch: Stretch) -> list[str]:
        """The strokes as the format writes them, every string named, and `|` where a bar begins."""
        cells: list[str] = []
        bar = ""
        for at in range(stretch.first, stretch.last + 1):
            here = self._addresses[at].partition(".")[0]
            if bar not in ("", here):
                cells.append("|")
            bar = here
            cells.append(self._texts[at])
        return cells

    def chords(self, stretch: Stretch) -> list[str]:
        """The chords the stretch stands over, as they are written; a chord that goes on is named once."""
        names: list[str] = []
        for cell in self._strokes.chords[stretch.first : stretch.last + 1]:
            entry = value_of(self._strokes.chord_table, cell)
            name = entry.split(" ")[0] if entry else "NC"
            if names[-1:] != [name]:
                names.append(name)
        return names
