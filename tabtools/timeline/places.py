"""Addresses to music: the notes a place or a stretch names."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from tabtools.model.solo import Address, AddressRange
from tabtools.timeline.records import TimedBar, TimedNote, Timeline


class NoSuchPlace(Exception):
    """An address that names nothing in this solo; the text says what there is instead."""


def notes_at(timeline: Timeline, stretch: AddressRange) -> tuple[TimedNote, ...]:
    """The notes from one address to another, both inclusive. Raises `NoSuchPlace`."""
    first, last = _resolved(timeline, stretch.first), _resolved(timeline, stretch.last)
    order = _order(timeline)
    start, end = _position(timeline, first), _position(timeline, last)
    if start > end:
        raise NoSuchPlace(f"{stretch} runs backwards")
    low = bisect_left(order, start)
    high = bisect_right(order, (*end[: _depth(last)], *(float("inf"),) * (3 - _depth(last))))
    return timeline.notes[low:high]


def _resolved(timeline: Timeline, address: Address) -> Address:
    """The address with the first count of the line it lies on."""
    bar = timeline.bar_numbers.get(address.bar)
    if bar is None:
        numbers = timeline.bar_numbers
        have = f"the bars are {min(numbers)} to {max(numbers)}" if numbers else "the solo has no bars"
        raise NoSuchPlace(f"there is no bar {address.bar}: {have}")
    if address.count is None:
        return address
    line = next((timed.line for timed in bar.lines if timed.line.first <= address.count <= timed.line.last), None)
    if line is None:
        raise NoSuchPlace(f"bar {bar.number} has no count {address.count}")
    if address.stroke is not None:
        strokes = _strokes(timeline, bar, line.first)
        if not 1 <= address.stroke <= strokes:
            have = f"{strokes} stroke{'s' * (strokes != 1)}" if strokes else "no strokes"
            raise NoSuchPlace(f"count {address.count} of bar {bar.number} has {have}, so there is no {address}")
    return address._replace(count=line.first)


def _strokes(timeline: Timeline, bar: TimedBar, count: int) -> int:
    here = (note.address.stroke for note in timeline.notes if note.address[:2] == (bar.number, count))
    return max(here, default=0)


def _order(timeline: Timeline) -> list[tuple[float, float, float]]:
    places = {bar.number: index for index, bar in reversed(list(enumerate(timeline.bars)))}
    return [(places[note.address.bar], note.address.count, note.address.stroke) for note in timeline.notes]


def _position(timeline: Timeline, address: Address) -> tuple[float, float, float]:
    index = next(index for index, bar in enumerate(timeline.bars) if bar.number == address.bar)
    return index, address.count or 0, address.stroke or 0


def _depth(address: Address) -> int:
    return sum(part is not None for part in address)
