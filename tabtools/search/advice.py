"""What to try where nothing was found."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from tabtools.search.collection import FoundPlace, Searched, find
from tabtools.search.devices import count_devices
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


def what_to_try(query: Query, solos: Sequence[Searched], model: FoundPlace | None = None) -> Iterator[str]:
    """Sentences: how far each criterion gets alone, what the solos have, how things are counted.

    `model` is the example of `query`.
    """
    if not solos:
        yield "there are no solos to search"
        return
    single = list(_alone(query))
    counts = [sum(len(found.stretches) for found in find(one, solos, model)) for _, _, one in single]
    if len(single) > 1:
        each = (f"{option} {count}" for (_, option, _), count in zip(single, counts, strict=True))
        yield f"places of each alone: {', '.join(each)}" + ("; leave one out" if all(counts) else "")
    missing = {name for (name, _, _), count in zip(single, counts, strict=True) if not count}
    if "chord" in missing:
        yield f"chord types in these solos: {_names(entry.split(' ')[2] or 'major' for entry in _chords(solos))}"
    if "techniques" in missing:
        played = (name for solo in solos for entry in solo.strokes.play_table for name in entry.split(" "))
        yield f"techniques in these solos: {_names(played)}"
    if "devices" in missing:
        found = (name for solo in solos for name in count_devices(solo.strokes).elements())
        yield f"devices in these solos: {_names(found)}"
    if "intervals" in missing:
        yield "intervals go from stroke to stroke, in a chord from its highest note; take fewer of them"
    if "degrees" in missing:
        yield "degrees are over the chord of the moment, not over the key; take fewer of them"
    if "rhythm" in missing and query.rhythm is not None:
        exact = "; proportions (2 1 1) are found at any speed" if query.rhythm.is_exact else ""
        yield f"a note counts until the next stroke, rests included; take fewer notes{exact}"
    if "example" in missing and query.example is not None:
        rhythm = ", or leave out --same-rhythm" if query.example.proportions else ""
        yield f"name a shorter stretch{rhythm}"


def _alone(query: Query) -> Iterator[tuple[str, str, Query]]:
    """Each criterion: its field, its option as it is called, a query of it alone."""
    for name, option in _OPTIONS.items():
        value: Any = getattr(query, name)
        if name in ("techniques", "devices"):
            for one in value:
                yield name, f"{option} {one}", _only(name, (one,))
        elif value:
            yield name, option, _only(name, value)


def _only(name: str, value: Any) -> Query:
    return Query(**{name: value})


def _chords(solos: Iterable[Searched]) -> Iterator[str]:
    for solo in solos:
        yield from solo.strokes.chord_table


def _names(found: Iterable[str]) -> str:
    """The most frequent first."""
    names = [name for name, _ in Counter(found).most_common()]
    more = ["…"] if len(names) > _MOST_NAMES else []
    return ", ".join(names[:_MOST_NAMES] + more) or "none"
