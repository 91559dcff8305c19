"""Cross references: for each solo, where other solos play the same figure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import islice
from typing import NamedTuple

from tabtools.search.collection import Excerpts, Place, Searched
from tabtools.search.match import Stretch
from tabtools.search.shared import SharedFigure, shared_figures
from tabtools.search.transposition import Transposition, transposition

MOST_OTHERS = 5
"""Places that one place is referred to for one figure; those in the first solos."""


class Reference(NamedTuple):
    """A stretch of a solo that another solo plays too.

    The ranges are written as addresses, `5.1.1-5.3.2`. `moved` leads from here to there
    (`transposition.in_words`), None where no pitch tells.
    """

    here: str
    notes: int
    other: Searched
    there: str
    moved: Transposition | None


def cross_references(solos: Sequence[Searched], with_rhythm: bool = False) -> dict[str, tuple[Reference, ...]]:
    """The references of each solo, by its path, in the order of its music; every solo has an entry.

    What is part of a longer figure that the same two places share is not told again.
    """
    found: dict[str, list[tuple[Place, Place]]] = {solo.path: [] for solo in solos}
    told: defaultdict[tuple[str, str, int], list[Stretch]] = defaultdict(list)
    for here, there in _pairs(shared_figures(solos, with_rhythm)):
        longer = told[here.solo.path, there.solo.path, there.stretch.first - here.stretch.first]
        if not any(one.first <= here.stretch.first and here.stretch.last <= one.last for one in longer):
            longer.append(here.stretch)
            found[here.solo.path].append((here, there))
    excerpts = {solo.path: Excerpts(solo.strokes) for solo in solos}
    return {
        path: tuple(_reference(here, there, excerpts) for here, there in sorted(pairs, key=_in_order))
        for path, pairs in found.items()
    }


def _pairs(figures: Iterable[SharedFigure]) -> Iterable[tuple[Place, Place]]:
    """Each place of a figure and places of other solos, the longest figures first."""
    for figure in figures:
        for here in figure.places:
            others = (place for place in figure.places if place.solo is not here.solo)
            for there in islice(others, MOST_OTHERS):
                yield here, there


def _in_order(pair: tuple[Place, Place]) -> tuple[int, int, str, int]:
    here, there = pair
    return here.stretch.first, -here.stretch.last, there.solo.slug, there.stretch.first


def _reference(here: Place, there: Place, excerpts: dict[str, Excerpts]) -> Reference:
    return Reference(
        excerpts[here.solo.path].range(here.stretch),
        here.stretch.last - here.stretch.first + 1,
        there.solo,
        excerpts[there.solo.path].range(there.stretch),
        transposition(here.solo.strokes, here.stretch, there.solo.strokes, there.stretch),
    )
