"""Addresses to notes, for many questions about one solo whose bars and counts follow one another."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import pairwise

from tabtools.model.solo import Address, AddressRange
from tabtools.timeline import TimedBar, Timeline

_BEHIND = float("inf")


class DisorderedError(Exception):
    """Bars or counts that do not follow one another, so that an address may name two places; the text says where."""


class Addresses:
    """The notes of a timeline by their addresses. Raises `DisorderedError`."""

    def __init__(self, timeline: Timeline):
        for before, bar in pairwise(timeline.bars):
            if bar.number <= before.number:
                raise DisorderedError(f"bar {bar.number} stands after bar {before.number}")
        for bar in timeline.bars:
            for line, following in pairwise(timed.line for timed in bar.lines):
                if following.first <= line.last:
                    raise DisorderedError(f"in bar {bar.number} count {following.first} stands after count {line.last}")
        self._bars = timeline.bar_numbers
        self._keys = [note.address for note in timeline.notes]

    def notes(self, stretch: AddressRange) -> range:
        """The indices of the notes from one address to another, both inclusive; none where a place is not there."""
        first, last = self._found(stretch.first), self._found(stretch.last)
        if first is None or last is None:
            return range(0)
        start = tuple(-1 if part is None else part for part in first)
        end = tuple(_BEHIND if part is None else part for part in last)
        return range(bisect_left(self._keys, start), bisect_right(self._keys, end))

    def _found(self, address: Address) -> Address | None:
        """The address with the first count of its line."""
        bar: TimedBar | None = self._bars.get(address.bar)
        if bar is None or address.count is None:
            return address if bar else None
        firsts = [timed.line.first for timed in bar.lines]
        place = bisect_right(firsts, address.count) - 1
        if place < 0 or bar.lines[place].line.last < address.count:
            return None
        return address._replace(count=firsts[place])
