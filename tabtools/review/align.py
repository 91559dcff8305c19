"""Which sections, bars, repeats and passages of one version are those of another, wherever they stand now."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, replace
from typing import Any, NamedTuple, TypeVar

from tabtools.model.solo import (
    Address,
    AddressRange,
    Bar,
    Item,
    Like,
    Note,
    Passage,
    Section,
    Solo,
    first_number,
    notes_of,
    numbers_of,
)
from tabtools.review.sequence import MOST_CELLS, Pair, pairs_in_order
from tabtools.timeline.spread import shape_of

SAME_NUMBER = 0.2
LEAST_ALIKE = 0.4
LEAST_WITH_NUMBER = 0.25
MOVED_ALIKE = 0.75

Piece = TypeVar("Piece", bound=Item)
ItemKey = Callable[[Any], Hashable]
"""What tells items of one class apart."""


@dataclass(frozen=True, slots=True)
class Alignment:
    """Pairs of item indices (old, new) in the order of the new version; `moved` are the old indices that left
    their place among the others."""

    pairs: tuple[Pair, ...]
    moved: frozenset[int]

    def bar_numbers(self, old: Solo, new: Solo) -> dict[int, int]:
        """Old bar numbers to new ones; bars that are gone are missing, of two with one number the first counts."""
        numbers: dict[int, int] = {}
        for i, j in self.pairs:
            before, after = old.items[i], new.items[j]
            if isinstance(before, Bar | Like) and isinstance(after, Bar | Like):
                for step, number in enumerate(numbers_of(before)):
                    numbers.setdefault(number, first_number(after) + step)
        return numbers


def music_of(bar: Bar) -> Hashable:
    """A written bar without its number and its comments."""
    return bar.chords, lines_of(bar), bar.at, bar.meter, bar.tempo, bar.free


def lines_of(bar: Bar) -> Hashable:
    """What is played in a written bar."""
    return tuple((line.first, line.last, line.doubtful, line.slots, line.marks) for line in bar.lines)


def align(old: Solo, new: Solo) -> Alignment:
    """Align two versions by what their bars hold, not by their numbers."""
    bars = _Bars(old, new)
    in_order = bars.in_order()
    order = _RisingPairs(in_order)
    moved = bars.moved(in_order)
    in_order.extend(filter(order.takes, bars.filled([*in_order, *moved])))
    in_order.extend(filter(order.takes, bars.settled_between(in_order, moved)))
    for pair in _parts_by_name(old, new, Section):
        (in_order if order.takes(pair) else moved).append(pair)
    numbers = Alignment(tuple(sorted(in_order + moved, key=_second)), frozenset()).bar_numbers(old, new)
    for pair in _passages(old, new, numbers):
        (in_order if order.takes(pair) else moved).append(pair)
    return Alignment(tuple(sorted(in_order + moved, key=_second)), frozenset(i for i, _ in moved))


class _Tokens(NamedTuple):
    """What a bar has: its notes with and without their counts, how its lines divide the time, and the pitches that
    are heard or follow from a place; whether notes of it, or all of them, are open."""

    placed: Counter[Hashable]
    bare: Counter[Hashable]
    rhythm: Counter[Hashable]
    pitches: Counter[Hashable]
    has_open: bool
    is_open: bool


class _Side:
    """One version's bars and repeats, and what tells them apart, worked out where it is asked for."""

    def __init__(self, solo: Solo, seen: dict[Hashable, int]):
        bars = [(index, item) for index, item in enumerate(solo.items) if isinstance(item, Bar | Like)]
        self.places = [index for index, _ in bars]
        self.items = [item for _, item in bars]
        self.keys = [seen.setdefault(_key(item), len(seen)) for item in self.items]
        self._tokens: dict[int, _Tokens] = {}
        self._instrument = solo.header.instrument

    def tokens(self, index: int) -> _Tokens:
        found = self._tokens.get(index)
        if found is None:
            item = self.items[index]
            lines = item.lines if isinstance(item, Bar) else ()
            notes = [(line.first, note) for line in lines for note in notes_of(line)]
            bare = [(note.via, note.string, note.fret, note.pitch) for _, note in notes]
            found = self._tokens[index] = _Tokens(
                Counter((first, *own) for (first, _), own in zip(notes, bare, strict=True)),
                Counter(bare),
                Counter((line.first, line.last, shape_of(line.slots)) for line in lines),
                Counter(midi for _, note in notes if (midi := self._pitch(note)) is not None),
                any(note.is_open for _, note in notes),
                all(note.is_open for _, note in notes),
            )
        return found

    def _pitch(self, note: Note) -> float | None:
        """A MIDI number, as far as the note says it by itself."""
        if note.pitch is not None:
            return note.pitch.midi
        if note.string is None or note.fret is None or not self._instrument.has_string(note.string):
            return None
        return self._instrument.midi(note.string, note.fret)


def _key(item: Bar | Like) -> Hashable:
    if isinstance(item, Bar):
        return music_of(item)
    return Like, item.last - item.first, item.like_first, item.like_last, item.chords


class _Bars:
    """The bars and repeats of two versions."""

    def __init__(self, old: Solo, new: Solo):
        seen: dict[Hashable, int] = {}
        self.old, self.new = _Side(old, seen), _Side(new, seen)
        once = {key for key, times in Counter(self.old.keys).items() if times == 1}
        self.unmistakable = once & {key for key, times in Counter(self.new.keys).items() if times == 1}

    def in_order(self) -> list[Pair]:
        pairs = pairs_in_order(self.old.keys, self.new.keys, self.likeness, self._same_number)
        return self._placed(pairs)

    def _same_number(self, i: int, j: int) -> bool:
        return first_number(self.old.items[i]) == first_number(self.new.items[j])

    def likeness(self, i: int, j: int) -> float:
        """How much two bars are alike, 1 for the same music; the same number tells between equals."""
        bonus = SAME_NUMBER if self._same_number(i, j) else 0.0
        if self.old.keys[i] == self.new.keys[j]:
            return 1.0 + bonus
        if self.unmistakable and not self.unmistakable.isdisjoint((self.old.keys[i], self.new.keys[j])):
            return 0.0
        before, after = self.old.items[i], self.new.items[j]
        if isinstance(before, Bar) and isinstance(after, Bar):
            alike = self._share(i, j)
        elif isinstance(before, Like) and isinstance(after, Like):
            same_length = before.last - before.first == after.last - after.first
            alike = 0.5 * (before.chords == after.chords) + 0.4 * same_length
        else:
            return 0.0
        return alike + bonus if alike >= (LEAST_WITH_NUMBER if bonus else LEAST_ALIKE) else 0.0

    def _share(self, i: int, j: int) -> float:
        old, new = self.old.tokens(i), self.new.tokens(j)
        placed, bare, rhythm, pitches = map(_common, old[:4], new[:4])
        if old.has_open or new.has_open:
            placed, bare = max(placed, pitches), max(bare, pitches)
        same_chords = self.old.items[i].chords == self.new.items[j].chords
        return 0.4 * placed + 0.25 * bare + 0.25 * rhythm + 0.1 * same_chords

    def moved(self, in_order: list[Pair]) -> list[Pair]:
        """Bars with notes that stand elsewhere, the most alike first."""
        here = {i for i, _ in in_order}, {j for _, j in in_order}
        gone = [i for i, place in enumerate(self.old.places) if place not in here[0] and self._has_notes(self.old, i)]
        come = [j for j, place in enumerate(self.new.places) if place not in here[1] and self._has_notes(self.new, j)]
        pairs: list[Pair] = []
        by_key: dict[int, list[int]] = {}
        for j in come:
            by_key.setdefault(self.new.keys[j], []).append(j)
        for i in gone:
            if same := by_key.get(self.old.keys[i]):
                pairs.append((i, same.pop(0)))
        gone = sorted(set(gone) - {i for i, _ in pairs})
        come = sorted(set(come) - {j for _, j in pairs})
        if len(gone) * len(come) <= MOST_CELLS:
            weighed = sorted(((self.likeness(i, j), -i, -j) for i in gone for j in come), reverse=True)
            for alike, i, j in weighed:
                if alike >= MOVED_ALIKE and -i in gone and -j in come:
                    pairs.append((-i, -j))
                    gone.remove(-i)
                    come.remove(-j)
        return self._placed(pairs)

    def filled(self, paired: list[Pair]) -> list[Pair]:
        """Bars that were empty, or open throughout, and are filled, or the other way round, by their numbers: nothing
        else tells them."""
        here = {i for i, _ in paired}, {j for _, j in paired}
        come = {
            first_number(item): j
            for j, item in reversed(list(enumerate(self.new.items)))
            if isinstance(item, Bar) and self.new.places[j] not in here[1]
        }
        pairs: list[Pair] = []
        for i, item in enumerate(self.old.items):
            if isinstance(item, Bar) and self.old.places[i] not in here[0]:
                j = come.get(item.number)
                if j is not None and (self.old.tokens(i).is_open or self.new.tokens(j).is_open):
                    pairs.append((i, come.pop(item.number)))
        return self._placed(pairs)

    def settled_between(self, in_order: list[Pair], moved: list[Pair]) -> list[Pair]:
        """Bars of which some was open, where as many stand between the same bars on both sides: nothing else tells
        what was settled throughout."""
        sides = []
        for index, side in enumerate((self.old, self.new)):
            fixed = sorted(pair[index] for pair in in_order)
            paired = {*fixed, *(pair[index] for pair in moved)}
            left: dict[int, list[int]] = {}
            for at, place in enumerate(side.places):
                if place not in paired:
                    left.setdefault(bisect_left(fixed, place), []).append(at)
            sides.append(left)
        gone, come = sides
        same = (zip(some, come[gap], strict=True) for gap, some in gone.items() if len(some) == len(come.get(gap, ())))
        return self._placed(pair for pairs in same for pair in pairs if self._was_open(*pair))

    def _was_open(self, i: int, j: int) -> bool:
        both_bars = isinstance(self.old.items[i], Bar) and isinstance(self.new.items[j], Bar)
        return both_bars and (self.old.tokens(i).has_open or self.new.tokens(j).has_open)

    def _has_notes(self, side: _Side, index: int) -> bool:
        return isinstance(side.items[index], Bar) and bool(side.tokens(index).bare)

    def _placed(self, pairs: Iterable[Pair]) -> list[Pair]:
        return [(self.old.places[i], self.new.places[j]) for i, j in pairs]


def _common(one: Counter[Hashable], other: Counter[Hashable]) -> float:
    """The share of what two bags have in common, 1 where both are empty."""
    total = one.total() + other.total()
    return 2 * (one & other).total() / total if total else 1.0


class _RisingPairs:
    """Pairs that rise on both sides, and whether another one fits in."""

    def __init__(self, pairs: list[Pair]):
        self.old = [i for i, _ in pairs]
        self.new = [j for _, j in pairs]

    def takes(self, pair: Pair) -> bool:
        """Take a pair in if it stands in order."""
        at = bisect_left(self.old, pair[0])
        if at != bisect_left(self.new, pair[1]):
            return False
        self.old.insert(at, pair[0])
        self.new.insert(at, pair[1])
        return True


def _second(pair: Pair) -> int:
    return pair[1]


def _parts_by_name(old: Solo, new: Solo, kind: type[Item]) -> list[Pair]:
    """Sections: by label and name, then by either."""
    keys: tuple[Callable[[Section], Hashable], ...] = (
        lambda section: (section.label, section.name),
        lambda section: section.label,
        lambda section: section.name or None,
    )
    return _matched(_indexed(old, kind), _indexed(new, kind), [(key, key) for key in keys])


def _passages(old: Solo, new: Solo, numbers: dict[int, int]) -> list[Pair]:
    """Passages: by name and stretch, then by either."""
    keys: list[tuple[Callable[[Passage], Hashable], Callable[[Passage], Hashable]]] = [
        (lambda passage: (renumbered(passage, numbers).range, passage.name), lambda one: (one.range, one.name)),
        (lambda passage: passage.name or None, lambda passage: passage.name or None),
        (lambda passage: renumbered(passage, numbers).range, lambda passage: passage.range),
    ]
    return _matched(_indexed(old, Passage), _indexed(new, Passage), keys)


def _indexed(solo: Solo, kind: type[Item]) -> dict[int, Item]:
    return {index: item for index, item in enumerate(solo.items) if isinstance(item, kind)}


def _matched(old: dict[int, Item], new: dict[int, Item], keys: Iterable[tuple[ItemKey, ItemKey]]) -> list[Pair]:
    """Pairs by one key after the other; of several with one key the first goes with the first. A key is not None."""
    pairs: list[Pair] = []
    for old_key, new_key in keys:
        places: dict[Hashable, list[int]] = {}
        for j, item in new.items():
            places.setdefault(new_key(item), []).append(j)
        for i, item in list(old.items()):
            key = old_key(item)
            if key is not None and places.get(key):
                j = places[key].pop(0)
                pairs.append((i, j))
                del old[i], new[j]
    return sorted(pairs)


def renumbered(item: Piece, numbers: dict[int, int]) -> Piece:
    """A repeat or a passage with the bars it names under their new numbers; what is not known stays."""
    if isinstance(item, Like):
        chords = tuple(
            replace(mark, at=replace(mark.at, bar=numbers.get(mark.at.bar, mark.at.bar)))
            if mark.at is not None and mark.at.bar is not None
            else mark
            for mark in item.chords
        )
        first = numbers.get(item.first, item.first)
        like_first = numbers.get(item.like_first, item.like_first)
        like_last = numbers.get(item.like_last, item.like_last)
        return replace(
            item, first=first, last=first + item.last - item.first, like_first=like_first, like_last=like_last,
            chords=chords,
        )  # fmt: skip
    if isinstance(item, Passage):
        start, end = _renumbered(item.range.first, numbers), _renumbered(item.range.last, numbers)
        return replace(item, range=AddressRange(start, end))
    return item


def _renumbered(address: Address, numbers: dict[int, int]) -> Address:
    return address._replace(bar=numbers.get(address.bar, address.bar))
