"""The pieces of three versions: which are the same, which of them stay, under which number."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from tabtools.model.solo import Bar, Item, Like, Passage, Solo, first_number, numbers_of
from tabtools.review.align import Alignment, align, renumbered
from tabtools.review.merging.order import Order, merge_order
from tabtools.review.merging.sides import CollisionError, three_way

OURS, THEIRS = 1, 2


class Name(NamedTuple):
    """A piece by its index in the base, ours and theirs; None where it is not there."""

    base: int | None
    ours: int | None
    theirs: int | None


@dataclass(frozen=True)
class Pieces:
    """Sections, bars, repeats and passages of the three versions."""

    versions: tuple[Solo, Solo, Solo]

    @cached_property
    def alignments(self) -> tuple[Alignment, Alignment]:
        """Of the base with ours and with theirs."""
        base, ours, theirs = self.versions
        return align(base, ours), align(base, theirs)

    @cached_property
    def names(self) -> tuple[Name, ...]:
        """Every piece, once."""
        ours, theirs = (dict(alignment.pairs) for alignment in self.alignments)
        names = [Name(i, ours.get(i), theirs.get(i)) for i in range(len(self.versions[0].items))]
        new_in_ours = set(range(len(self.versions[1].items))) - set(ours.values())
        new_in_theirs = set(range(len(self.versions[2].items))) - set(theirs.values())
        if new_in_ours and new_in_theirs:
            both = align(*self.versions[1:])
            for j, k in both.pairs:
                if j in new_in_ours and k in new_in_theirs and j not in both.moved:
                    names.append(Name(None, j, k))
                    new_in_ours.remove(j)
                    new_in_theirs.remove(k)
        names += [Name(None, j, None) for j in sorted(new_in_ours)]
        names += [Name(None, None, k) for k in sorted(new_in_theirs)]
        return tuple(names)

    def item(self, name: Name, side: int) -> Item | None:
        """A piece as it stands on a side (0 is the base)."""
        index = name[side]
        return None if index is None else self.versions[side].items[index]

    def bars(self, name: Name, side: int) -> Bar | Like | None:
        """A piece as it stands on a side, if it makes bars."""
        item = self.item(name, side)
        return item if isinstance(item, Bar | Like) else None

    def any_item(self, name: Name) -> Item:
        return next(item for side in (OURS, THEIRS, 0) if (item := self.item(name, side)) is not None)

    def is_changed(self, name: Name, side: int) -> bool:
        """Whether a side changed a piece of the base: what it says or where it stands, new numbers aside."""
        before, after = self.item(name, 0), self.item(name, side)
        if before is None or after is None or name.base in self.alignments[side - 1].moved:
            return True
        if isinstance(before, Bar) and isinstance(after, Bar):
            return replace(before, number=after.number) != after
        return renumbered(before, self._own_numbers[side - 1]) != after

    @cached_property
    def _own_numbers(self) -> tuple[dict[int, int], dict[int, int]]:
        """Bar numbers of the base to those of ours and theirs."""
        base, ours, theirs = self.versions
        with_ours, with_theirs = self.alignments
        return with_ours.bar_numbers(base, ours), with_theirs.bar_numbers(base, theirs)

    @cached_property
    def kept(self) -> frozenset[Name]:
        """What stands in the merged version: all but what one side took out and the other left as it was."""
        return frozenset(name for name in self.names if self._stays(name))

    def _stays(self, name: Name) -> bool:
        if name.base is None or (name.ours is not None and name.theirs is not None):
            return True
        side = OURS if name.ours is not None else THEIRS if name.theirs is not None else 0
        return bool(side) and self.is_changed(name, side)

    @cached_property
    def order(self) -> Order[Name]:
        added = self._added(OURS, THEIRS), self._added(THEIRS, OURS)
        moved = self._moved(OURS), self._moved(THEIRS)
        return merge_order(self._in_order(OURS), self._in_order(THEIRS), self.kept, added, moved)

    def _in_order(self, side: int) -> list[Name]:
        """The pieces of a side as they follow each other there."""
        places = [(at, name) for name in self.names if (at := name[side]) is not None]
        return [name for _, name in sorted(places)]

    def _added(self, side: int, other: int) -> set[Name]:
        """What a side alone brought, passages aside: those stand wherever they are put."""
        own = (name for name in self.names if name[side] is not None and name[other] is None and name.base is None)
        return {name for name in own if not self._is_passage(name)}

    def _moved(self, side: int) -> set[Name]:
        alignment = self.alignments[side - 1]
        return {name for name in self.names if name.base in alignment.moved and name[side] is not None}

    def _is_passage(self, name: Name) -> bool:
        return isinstance(self.any_item(name), Passage)

    # ---- numbers

    @cached_property
    def first_numbers(self) -> dict[Name, int]:
        """The first bar number of each bar and repeat in the merged version.

        Bars that follow each other on both sides do so here, and bars of both sides that rival for one place begin
        with one number; otherwise a number is what one side made of it.
        """
        bars = [name for name in self.order.names if isinstance(self.any_item(name), Bar | Like)]
        if not all(map(_is_counted_through, self.versions[1:])):
            own = {name: number for name in bars if (number := self._own_number(name)) is not None}
            if len(own) == len(bars):
                return own
        numbers: dict[Name, int] = {}
        rivals = {name: ours for ours, theirs in self.order.rivals for name in theirs}
        number = highest = self._start(bars)
        rival_run: list[Name] = []
        for name in bars:
            if name not in rivals:
                number, rival_run = highest, []
            elif rivals[name] is not rival_run:
                rival_run = rivals[name]
                number = min((numbers[rival] for rival in rival_run if rival in numbers), default=highest)
            numbers[name] = number
            number += self._length(name)
            highest = max(highest, number)
        return numbers

    def _own_number(self, name: Name) -> int | None:
        numbers = [first_number(item) if (item := self.bars(name, side)) is not None else None for side in range(3)]
        base, ours, theirs = numbers
        if ours is None or theirs is None:
            return theirs if ours is None else ours
        try:
            return three_way(ours if base is None else base, ours, theirs)
        except CollisionError:
            return None

    def _start(self, bars: Sequence[Name]) -> int:
        starts = [next(map(first_number, _bars(solo)), None) for solo in self.versions]
        known = [start for start in starts[1:] if start is not None]
        if len(known) < 2 or not bars:
            return known[0] if known else 1
        try:
            return three_way(known[0] if starts[0] is None else starts[0], *known)
        except CollisionError:
            return min(known)

    def _length(self, name: Name) -> int:
        lengths = [len(numbers_of(item)) for side in (OURS, THEIRS) if (item := self.bars(name, side)) is not None]
        base = self.bars(name, 0)
        if len(lengths) == 2 and base is not None:
            try:
                return three_way(len(numbers_of(base)), *lengths)
            except CollisionError:
                pass
        return max(lengths)

    @cached_property
    def final_numbers(self) -> tuple[dict[int, int], ...]:
        """Bar numbers of the base, ours and theirs to those of the merged version; what is gone is missing."""
        maps: tuple[dict[int, int], ...] = ({}, {}, {})
        for name, first in self.first_numbers.items():
            for side, numbers in enumerate(maps):
                if (item := self.bars(name, side)) is not None:
                    for step, number in enumerate(numbers_of(item)):
                        numbers.setdefault(number, first + step)
        return maps

    def final(self, name: Name, side: int) -> Item | None:
        """A piece as a side has it, under its final numbers."""
        item = self.item(name, side)
        if isinstance(item, Bar):
            return replace(item, number=self.first_numbers[name])
        return None if item is None else renumbered(item, self.final_numbers[side])

    def names_what_is_gone(self, name: Name, side: int) -> bool:
        """Whether a repeat or passage names a bar of its own side that the other side took out."""
        item = self.item(name, side)
        own = {number for bar in _bars(self.versions[side]) for number in numbers_of(bar)}
        return any(number in own and number not in self.final_numbers[side] for number in _named(item))


def _bars(solo: Solo) -> Iterator[Bar | Like]:
    return (item for item in solo.items if isinstance(item, Bar | Like))


def _is_counted_through(solo: Solo) -> bool:
    """Whether every bar bears the number after that of the bar before."""
    numbers = [number for bar in _bars(solo) for number in numbers_of(bar)]
    return numbers == list(range(numbers[0], numbers[0] + len(numbers))) if numbers else True


def _named(item: Item | None) -> tuple[int, ...]:
    if isinstance(item, Like):
        return item.like_first, item.like_last
    return (item.range.first.bar, item.range.last.bar) if isinstance(item, Passage) else ()
