"""What to try where nothing was found."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields

from tabtools.search.collection import Searched
from tabtools.search.match import stretches
from tabtools.search.query import Query

_OPTIONS = {
    "intervals": "--intervals",
    "degrees": "--degrees",
    "rhythm": "--rhythm",
    "example": "--like",
    "techniques": "--technique",
    "devices": "--device",
    "chord": "--chord",
}
_MOST_NAMES = 12


def what_to_try(query: Query, solos: Sequence[Searched]) -> Iterator[str]:
    """Sentences: how far each criterion gets alone, what the solos have, how things are counted."""
    if not solos:
        yield "there are no solos to search"
        return
    single = list(_alone(query))
    places = {name: sum(len(stretches(one, solo.strokes)) for solo in solos) for name, one in single}
    if len(single) > 1:
        counts = ", ".join(f"{_OPTIONS[name]} {number or 'nowhere'}" for name, number in places.items())
        yield f"alone they hold in so many places: {counts}; drop one of them"
    if query.chord and not places["chord"]:
        yield f"chord types in these solos: {_names(entry.split(' ')[2] or 'major' for entry in _chords(solos))}"
    if query.techniques and not places["techniques"]:
        played = (name for solo in solos for entry in solo.strokes.play_table for name in entry.split(" "))
        yield f"techniques in these solos: {_names(played)}"
    if query.devices and not places["devices"]:
        yield f"devices in these solos: {_names(kind for solo in solos for kind, _, _ in solo.strokes.devices)}"
    if query.intervals and not places["intervals"]:
        yield "intervals go from stroke to stroke, in a chord from its highest note; take fewer of them"
    if query.degrees and not places["degrees"]:
        yield "degrees are over the chord of the moment, not over the key; take fewer of them"
    if query.rhythm and not places["rhythm"]:
        exact = "; proportions (2 1 1) are found at any speed" if query.rhythm.is_exact else ""
        yield f"a note counts until the next stroke, rests included; take fewer notes{exact}"
    if query.example and not places["example"]:
        rhythm = ", or leave out --same-rhythm" if query.example.proportions else ""
        yield f"name a shorter stretch{rhythm}"


def _alone(query: Query) -> Iterator[tuple[str, Query]]:
    for field in fields(Query):
        value = getattr(query, field.name)
        if value:
            yield field.name, Query(**{field.name: value})


def _chords(solos: Iterable[Searched]) -> Iterator[str]:
    for solo in solos:
        yield from solo.strokes.chord_table


def _names(found: Iterable[str]) -> str:
    """The most frequent first."""
    names = [name for name, _ in Counter(found).most_common()]
    more = ["…"] if len(names) > _MOST_NAMES else []
    return ", ".join(names[:_MOST_NAMES] + more) or "none"
