"""Figures that come again at once: where a row of values repeats itself, and how that lies in time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from operator import eq
from typing import Any, NamedTuple

from tabtools.study.devices.wording import in_words
from tabtools.study.melody import Struck


class Repeat(NamedTuple):
    """From place `start` on, `size` values come `times` times in full, then `rest` more of them."""

    start: int
    size: int
    times: int
    rest: int

    @property
    def end(self) -> int:
        """The place of the last value, inclusive."""
        return self.start + self.size * self.times + self.rest - 1


class Taken:
    """Stretches of a row already told; each is a first and a last place, inclusive."""

    def __init__(self, places: int):
        self._reach = [-1] * places

    def add(self, start: int, end: int) -> None:
        reach = self._reach
        for place in range(start, end + 1):
            reach[place] = max(reach[place], end)

    def holds(self, start: int, end: int) -> bool:
        """Whether one of them holds this stretch entirely."""
        return self._reach[start] >= end


def repeats(values: Sequence[Any], size: int, fewest: int = 1) -> Iterator[tuple[int, int]]:
    """The longest stretches in which each value equals the one `size` places on: start, and how many equal.

    Only those where `fewest` or more do.
    """
    same = bytes(map(eq, values, values[size:]))
    wanted = b"\1" * fewest
    start = same.find(wanted)
    while start >= 0:
        end = same.find(b"\0", start)
        if end < 0:
            end = len(same)
        yield start, end - start
        start = same.find(wanted, end)


class InTime(NamedTuple):
    """How a figure that comes again lies in time.

    `keeps_rhythm` where it has the same rhythm each time, None where the rhythm is not known. `against` is the number
    of notes to a count where the notes are even, divide the count, and neither does the figure fill whole counts nor do
    figures fill one count; otherwise 0.
    """

    keeps_rhythm: bool | None
    against: int


def in_time(strokes: Sequence[Struck], size: int) -> InTime:
    """How the strokes of a repeated figure of so many lie in time."""
    if any(struck.doubt for struck in strokes):
        return InTime(None, 0)
    gaps = [after.onset - before.onset for before, after in pairwise(strokes)]
    keeps = all(gap == later for gap, later in zip(gaps, gaps[size:], strict=False))
    gap, beat = gaps[0], strokes[0].beat
    is_even = all(other == gap for other in gaps)
    if is_even and beat % gap == 0 and size * gap % beat and beat % (size * gap):
        return InTime(keeps, beat // gap)
    return InTime(keeps, 0)


ORDINALS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def times_text(repeat: Repeat, time: InTime) -> str:
    """`four times, the fifth time only four of them, seven against four to a count`."""
    said = f"{in_words(repeat.times)} times" if repeat.times > 2 else "twice"
    if repeat.rest:
        following = repeat.times + 1
        ordinal = ORDINALS[following] if following < len(ORDINALS) else f"{following}th"
        said += f", the {ordinal} time only {in_words(repeat.rest)} of them"
    if time.against:
        said += f", {in_words(repeat.size)} against {in_words(time.against)} to a count"
    return said
