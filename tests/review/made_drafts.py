"""A made-up solo under correction: what was changed, and what a comparison is to report of it."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from tabtools.model.solo import (
    Address,
    Bar,
    BeatLine,
    Field,
    Group,
    Item,
    Like,
    Passage,
    Slot,
    Solo,
    Stroke,
    first_number,
)
from tabtools.review.align import music_of, renumbered

FIRST_NEW = 1000


class Spot(NamedTuple):
    """A place: a bar by its identity (its index in the old version, or 1000 and more), a count, a stroke."""

    item: int
    count: int | None = None
    stroke: int | None = None


class Expected(NamedTuple):
    """A change to be reported; `old` and `new` are None where a side has nothing, `name` is a header field."""

    kinds: tuple[str, ...]
    old: Spot | None = None
    new: Spot | None = None
    name: str = ""


class Reported(NamedTuple):
    """The same in addresses."""

    kinds: tuple[str, ...]
    old: str
    new: str
    name: str


@dataclass
class Draft:
    """A solo under correction: items by identity, the order they stand in, what is to be reported.

    Where a correction goes depends on the old version and on `touched` and `settled` alone, not on what the draft
    looks like by now: so two people's corrections can be made apart, and once more one after the other.
    """

    solo: Solo
    rng: random.Random
    fields: list[Field] = field(init=False)
    items: dict[int, Item] = field(init=False)
    order: list[int] = field(init=False)
    expected: list[Expected] = field(default_factory=list)
    touched: set[int | str] = field(default_factory=set)
    """Items by identity and header fields by name."""
    settled: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.fields = list(self.solo.fields)
        self.items = dict(enumerate(self.solo.items))
        self.order = list(self.items)

    def copy(self) -> Draft:
        """A draft that goes its own way from here."""
        twin = Draft(self.solo, self.rng, list(self.expected), set(self.touched), set(self.settled))
        twin.fields, twin.items, twin.order = list(self.fields), dict(self.items), list(self.order)
        return twin

    def bars(self) -> list[int]:
        """Identities of bars nobody has touched yet, in random order."""
        free = [one for one, item in enumerate(self.solo.items) if isinstance(item, Bar) and one not in self.touched]
        return self.rng.sample(free, len(free))

    def old(self, kind: type[Item]) -> list[int]:
        """Identities of the sections, repeats or passages nobody has touched yet, in random order."""
        free = [one for one, item in enumerate(self.solo.items) if isinstance(item, kind) and one not in self.touched]
        return self.rng.sample(free, len(free))

    def lone_bars(self) -> list[int]:
        """Those no other bar is like, and that no repeat and no passage names."""
        music = [music_of(item) for item in self.solo.items if isinstance(item, Bar)]
        named = {number for item in self.solo.items for number in _named(item)}
        return [
            one
            for one in self.bars()
            if one not in self.settled
            and music.count(music_of(self.solo.items[one])) == 1
            and self.solo.items[one].number not in named
        ]

    def places(self) -> list[int]:
        """Bars behind which something may be put, away from where others came or went."""
        return [
            one
            for one, item in enumerate(self.solo.items)
            if isinstance(item, Bar) and self.settled.isdisjoint((one, one + 1))
        ]

    def settle(self, one: int) -> None:
        """No other bar is to come or go near this one."""
        self.settled.update(range(one - 2, one + 3))

    def expect(self, *kinds: str, old: Spot | None = None, new: Spot | None = None, name: str = "") -> None:
        self.expected.append(Expected(kinds, old, new, name))

    def expect_at(self, spot: Spot, *kinds: str) -> None:
        self.expect(*kinds, old=spot, new=spot)
        self.touched.add(spot.item)

    def insert(self, behind: int, item: Item) -> int:
        one = FIRST_NEW + len(self.items)
        self.items[one] = item
        self.order.insert(self.order.index(behind) + 1, one)
        return one

    def set_line(self, one: int, index: int, line: BeatLine) -> None:
        bar = self.items[one]
        self.items[one] = replace(bar, lines=(*bar.lines[:index], line, *bar.lines[index + 1 :]))

    def strokes(self) -> Iterator[tuple[int, int, int, list[Stroke]]]:
        """(bar, line index, slot index, the strokes of the line) of strokes that stand in no group."""
        for one in self.bars():
            lines = list(enumerate(self.items[one].lines))
            for index, line in self.rng.sample(lines, len(lines)):
                slots = list(enumerate(line.slots))
                for at, slot in self.rng.sample(slots, len(slots)):
                    if isinstance(slot, Stroke):
                        yield one, index, at, strokes_of(line.slots)

    def numbered(self, renumber: bool) -> tuple[Solo, list[Reported]]:
        """The corrected solo and what is to be reported of it, in addresses."""
        items = dict(self.items)
        numbers: dict[int, int] = {}
        if renumber:
            number = 1
            for one in self.order:
                item = items[one]
                if isinstance(item, Bar | Like):
                    numbers[one] = number
                    number += 1 if isinstance(item, Bar) else item.last - item.first + 1
        moved = {
            first_number(items[one]) + step: number + step
            for one, number in numbers.items()
            if one < FIRST_NEW
            for step in range(1 if isinstance(items[one], Bar) else items[one].last - items[one].first + 1)
        }
        for one, item in items.items():
            if isinstance(item, Bar):
                items[one] = replace(item, number=numbers.get(one, item.number))
            elif isinstance(item, Like | Passage):
                items[one] = renumbered(item, moved)
        expected = list(self.expected)
        if any(before != after for before, after in moved.items()):
            expected.append(Expected(("layout",)))
        solo = replace(self.solo, fields=tuple(self.fields), items=tuple(items[one] for one in self.order))
        return solo, sorted(self._reported(change, items) for change in expected)

    def _reported(self, change: Expected, items: dict[int, Item]) -> Reported:
        sides = []
        for spot, found in ((change.old, dict(enumerate(self.solo.items))), (change.new, items)):
            sides.append("" if spot is None else str(_address(found[spot.item], spot)))
        return Reported(change.kinds, *sides, change.name)


def _address(item: Item, spot: Spot) -> Address:
    return item.range.first if isinstance(item, Passage) else Address(first_number(item), spot.count, spot.stroke)


def _named(item: Item) -> set[int]:
    if isinstance(item, Like):
        return {item.like_first, item.like_last}
    return {item.range.first.bar, item.range.last.bar} if isinstance(item, Passage) else set()


def strokes_of(slots: tuple[Slot, ...]) -> list[Stroke]:
    """The strokes among slots, groups opened."""
    found: list[Stroke] = []
    for slot in slots:
        if isinstance(slot, Stroke):
            found.append(slot)
        elif isinstance(slot, Group):
            found.extend(strokes_of(slot.slots))
    return found
