"""Addresses to music: the notes a place or a stretch names."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence

from tabtools.model.solo import Address, AddressRange, Passage
from tabtools.timeline.records import TimedBar, TimedNote, Timeline
from tabtools.wording import several

_ADDRESS = r"[0-9]{1,6}(?:\.[0-9]{1,6}){0,2}"
_RANGE = re.compile(f"{_ADDRESS}(?:-{_ADDRESS})?")


class PlaceError(Exception):
    """An address that names nothing in this solo; the text says what there is instead."""


def range_named(text: str) -> AddressRange | None:
    """`5.1-5.3`, `5.2.1`, `7` as a range; None for anything else."""
    if not _RANGE.fullmatch(text):
        return None
    addresses = [Address(*map(int, part.split("."))) for part in text.split("-")]
    return AddressRange(addresses[0], addresses[-1])


def stretch_named(text: str, passages: Sequence[Passage]) -> AddressRange:
    """The same, or the stretch of the passage with this name, whether in capitals or not. Raises `PlaceError`."""
    named = range_named(text)
    if named is not None:
        return named
    ranges = [passage.range for passage in passages if passage.name.casefold() == text.strip().casefold()]
    if len(ranges) > 1:
        raise PlaceError(f"“{text}” is the name of {len(ranges)} passages; write {' or '.join(map(str, ranges))}")
    if not ranges:
        names = ", ".join(f"“{name}”" for name in dict.fromkeys(passage.name for passage in passages) if name)
        known = f", or the name of a passage: {names}" if names else ""
        raise PlaceError(f"“{text}” names no stretch; write bar and count, like 5, 5.2-6.3 or 5.2.1{known}")
    return ranges[0]


def notes_at(timeline: Timeline, stretch: AddressRange) -> tuple[TimedNote, ...]:
    """The notes from one address to another, both inclusive. Raises `PlaceError`."""
    first, last = _resolved(timeline, stretch.first), _resolved(timeline, stretch.last)
    start, end = _place(timeline, first), _end(timeline, last)
    if start > end:
        raise PlaceError(f"{stretch} runs backwards")
    return timeline.notes[bisect_left(timeline.note_places, start) : bisect_right(timeline.note_places, end)]


def passages_with_notes(timeline: Timeline) -> Iterator[tuple[Passage, range]]:
    """The passages that can be found, with the indices of their notes."""
    for passage in timeline.solo.passages:
        try:
            notes = notes_at(timeline, passage.range)
        except PlaceError:
            continue
        if notes:
            yield passage, range(notes[0].index, notes[-1].index + 1)


def _place(timeline: Timeline, address: Address) -> tuple[float, ...]:
    """The address by the index of its bar, as far as it goes: it sorts before all that lies at it."""
    rest = [part for part in (address.count, address.stroke) if part is not None]
    return timeline.bar_indices[address.bar], *rest


def _end(timeline: Timeline, address: Address) -> tuple[float, ...]:
    """The same, sorting behind all that lies at it."""
    place = _place(timeline, address)
    return *place, *(float("inf"),) * (len(Address._fields) - len(place))


def _resolved(timeline: Timeline, address: Address) -> Address:
    """The address with the first count of the line it lies on."""
    bar = timeline.bar_numbers.get(address.bar)
    if bar is None:
        numbers = timeline.bar_numbers
        have = f"the bars are {min(numbers)} to {max(numbers)}" if numbers else "the solo has no bars"
        raise PlaceError(f"there is no bar {address.bar}: {have}")
    if address.count is None:
        return address
    line = next((timed.line for timed in bar.lines if timed.line.first <= address.count <= timed.line.last), None)
    if line is None:
        raise PlaceError(f"bar {bar.number} has no count {address.count}")
    if address.stroke is not None:
        strokes = _strokes(timeline, bar, line.first)
        if not 1 <= address.stroke <= strokes:
            have = several(strokes, "stroke") if strokes else "no strokes"
            raise PlaceError(f"count {address.count} of bar {bar.number} has {have}, so there is no {address}")
    return address._replace(count=line.first)


def _strokes(timeline: Timeline, bar: TimedBar, count: int) -> int:
    """How many strokes the line of this count has."""
    line = Address(bar.number, count)
    low = bisect_left(timeline.note_places, _place(timeline, line))
    high = bisect_right(timeline.note_places, _end(timeline, line))
    return max((stroke for _, _, stroke in timeline.note_places[low:high]), default=0)
