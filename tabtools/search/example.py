"""The stretch that `find --like` is given."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from tabtools.model.solo import AddressRange
from tabtools.search.collection import FoundPlace, Searched
from tabtools.search.columns import NOTHING
from tabtools.search.match import Stretch
from tabtools.search.query import MOST_STEPS, QueryError
from tabtools.timeline import Timeline
from tabtools.timeline.places import PlaceError, notes_at, range_named


def solo_named(slug: str, solos: Sequence[Searched]) -> Searched:
    """The solo of this short name or path. Raises `QueryError`."""
    name = slug.removesuffix(".solo")
    named = [solo for solo in solos if solo.slug == name or solo.path == slug]
    if len(named) == 1:
        return named[0]
    if named:
        paths = ", ".join(solo.path for solo in named)
        raise QueryError(f"several solos are called {slug}", f"name one by its path: {paths}")
    near = get_close_matches(name, [solo.slug for solo in solos], 1)
    advice = f"did you mean {near[0]}?" if near else "name a file of the folder, without its ending"
    raise QueryError(f"there is no solo {slug} here", advice)


def read_range(text: str) -> AddressRange:
    """`5.1-5.3`, `5.2.1`, `7` as a range. Raises `QueryError`."""
    stretch = range_named(text)
    if stretch is None:
        raise QueryError(f"“{text}” names no stretch", "write bar and count, from where to where: 5.1-5.3")
    return stretch


def place_at(solo: Searched, timeline: Timeline, wanted: AddressRange) -> FoundPlace:
    """The strokes of a range of this solo; two at least. Raises `QueryError`."""
    strokes = solo.strokes
    try:
        named = {str(note.address) for note in notes_at(timeline, wanted)}
    except PlaceError as fault:
        raise QueryError(str(fault), "look at the bars with tabtools show") from None
    places = [at for at, address in enumerate(strokes.addresses.split(" ")) if address in named]
    if not places or set(strokes.steps[places[0] + 1 : places[-1] + 1]) <= {NOTHING}:
        raise QueryError(f"{wanted} has no two notes one after another", "name a longer stretch")
    if len(places) > MOST_STEPS:
        raise QueryError(f"{wanted} has {len(places)} strokes; {MOST_STEPS} are the most", "name a shorter stretch")
    return FoundPlace(solo, Stretch(places[0], places[-1]))
