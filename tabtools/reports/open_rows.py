"""What is open in a solo, line by line: places are told for a run of bars, since a first draft has dozens of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from tabtools.model.solo import Address, AddressRange
from tabtools.study.open_things import OpenKind, OpenThing
from tabtools.timeline import TimedNote
from tabtools.wording import several

_OF_RUNS = {
    OpenKind.PLACE: ("has no place on the neck yet", "have no place on the neck yet"),
    OpenKind.FRET: ("is not written as a fret yet", "are not written as frets yet"),
}
"""What is told for a run of bars: of one note, of several."""


class OpenRow(NamedTuple):
    """One line of a list of open things: the first of those it tells of, where they are, their notes, the words."""

    thing: OpenThing
    place: AddressRange
    notes: tuple[TimedNote, ...]
    said: str


def open_rows(things: Sequence[OpenThing], words: Callable[[OpenThing], str]) -> list[OpenRow]:
    """The lines, in the order of the music; a note that is neither certain nor placed stands in one of them."""
    placeless = {timed.index for thing in things if thing.kind is OpenKind.PLACE for timed in thing.notes}
    doubts = [thing for thing in things if thing.kind is OpenKind.READING]
    told = placeless.intersection(timed.index for thing in doubts for timed in thing.notes)
    rows: list[OpenRow] = []
    runs: dict[OpenKind, list[OpenThing]] = {kind: [] for kind in _OF_RUNS}
    places: dict[OpenKind, int] = {}
    for thing in _without(things, told):
        said = words(thing)
        if thing in doubts and thing.notes[0].index in told:
            said += "; it has no place on the neck yet"
        row = OpenRow(thing, thing.place, thing.notes, said)
        run = runs.get(thing.kind)
        if run is None:
            rows.append(row)
        elif run and thing.address.bar - run[-1].address.bar <= 1:
            run.append(thing)
            rows[places[thing.kind]] = _of_run(run)
        else:
            run[:] = [thing]
            places[thing.kind] = len(rows)
            rows.append(row)
    return list(_of_known_strings(rows))


def _of_known_strings(rows: Sequence[OpenRow]) -> Iterator[OpenRow]:
    """The rows, those of notes whose string is known told with the notes without a place in the same bars."""
    places = [row for row in rows if row.thing.kind is OpenKind.PLACE]
    strings = [row for row in rows if row.thing.kind is OpenKind.FRET and all(map(_has_string_alone, row.notes))]
    told = {id(row): place for row in strings for place in places if _is_within(row.place, place.place)}
    for row in rows:
        if id(row) in told:
            continue
        known = [timed for one in strings if told.get(id(one)) is row for timed in one.notes]
        if known:
            notes = tuple(sorted((*row.notes, *known), key=lambda timed: timed.index))
            said = f"{several(len(notes), 'note')} {_OF_RUNS[OpenKind.PLACE][1]}; of {len(known)} the string is known"
            row = row._replace(notes=notes, said=said)
        yield row


def _has_string_alone(timed: TimedNote) -> bool:
    return timed.note.pitch is not None and not timed.note.only_moves_pitch


def _is_within(stretch: AddressRange, other: AddressRange) -> bool:
    """Whether some bars are among others, which are named without counts."""
    return other.first.count is None and other.first.bar <= stretch.first.bar and stretch.last.bar <= other.last.bar


def _without(things: Sequence[OpenThing], told: set[int]) -> Iterator[OpenThing]:
    """The things without places of notes that another of them tells of."""
    for thing in things:
        if thing.kind is not OpenKind.PLACE:
            yield thing
        elif notes := tuple(timed for timed in thing.notes if timed.index not in told):
            yield replace(thing, notes=notes)


def _of_run(run: Sequence[OpenThing]) -> OpenRow:
    first, notes = run[0], tuple(timed for thing in run for timed in thing.notes)
    stretch = AddressRange(Address(first.address.bar), Address(run[-1].address.bar))
    one, many = _OF_RUNS[first.kind]
    return OpenRow(first, stretch, notes, f"{several(len(notes), 'note')} {one if len(notes) == 1 else many}")
