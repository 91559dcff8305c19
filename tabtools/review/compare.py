"""Two versions of a solo: every change between them, classed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from tabtools.model.solo import Bar, Item, Like, Passage, first_number, notes_of
from tabtools.review.align import Alignment, align, lines_of
from tabtools.review.bars import address_of, compare_items, same_music
from tabtools.review.change import NOWHERE, Change, ChangeSite, Comparison, Kind, Part, Version
from tabtools.review.fields import compare_fields
from tabtools.review.sound import Sounds
from tabtools.review.writing import item_text
from tabtools.timeline import TimedBar
from tabtools.wording import number_runs

Played = Mapping[int, list[TimedBar]]
"""The bars an item makes, by the item's identity."""


def compare(before: Version, after: Version) -> Comparison:
    """Compare two versions, each of which could be read whole. Empty only where the texts are the same."""
    alignment = align(before.solo, after.solo)
    walk = _Walk(before, after, alignment)
    changes = tuple(walk.changes())
    if walk.is_laid_out_otherwise or (not changes and before.source.text != after.source.text):
        changes += (Change((Kind.LAYOUT,), Part.NOTHING),)
    return Comparison(before, after, alignment, changes)


class _Walk:
    """One walk over both versions, in the order of the new one."""

    def __init__(self, before: Version, after: Version, alignment: Alignment):
        self.before = before
        self.after = after
        self.old, self.new = before.solo.items, after.solo.items
        self.moved = alignment.moved
        self.partner = {j: i for i, j in alignment.pairs}
        self.kept = {i for i, _ in alignment.pairs}
        self.numbers = alignment.bar_numbers(before.solo, after.solo)
        self.sounds = Sounds(before, after)
        self.is_laid_out_otherwise = False

    def changes(self) -> Iterator[Change]:
        yield from compare_fields(self.before.solo, self.after.solo)
        remarks = self.before.solo.remarks, self.after.solo.remarks
        if remarks[0] != remarks[1]:
            was, now = (" ".join(comment.text for comment in side) for side in remarks)
            yield Change((Kind.COMMENT,), Part.REMARKS, NOWHERE, None, None, was, now, *remarks)
        yield from self._renumbered()
        for gone, come, pair in self._stretches():
            yield from self._gone_and_come(gone, come)
            if pair is not None:
                yield from self._pair(*pair)

    def _renumbered(self) -> Iterator[Change]:
        """One change for all bars whose numbers only follow others."""
        shifts = []
        for j, i in self.partner.items():
            before, after = self.old[i], self.new[j]
            if not isinstance(before, Bar | Like) or not isinstance(after, Bar | Like):
                continue
            if first_number(before) != first_number(after):
                shifts.append((i, first_number(before), first_number(after)))
        if shifts:
            was, now = (_runs([shift[side] for shift in shifts]) for side in (1, 2))
            references = tuple((number, other) for number, other in self.numbers.items() if number != other)
            items = tuple((i, number) for i, _, number in shifts)
            yield Change((Kind.LAYOUT,), Part.NUMBERS, NOWHERE, None, None, was, now, references, items)

    def _stretches(self) -> Iterator[tuple[list[int], list[int], tuple[int, int] | None]]:
        """Old items that are gone and new ones that came, up to each pair that stands in order, and the pair."""
        at = 0
        gone: list[int] = []
        come: list[int] = []
        for j in range(len(self.new)):
            i = self.partner.get(j)
            if i is None:
                come.append(j)
                continue
            if i not in self.moved:
                gone += [index for index in range(at, i) if index not in self.kept]
                at = i + 1
            yield gone, come, (i, j)
            gone, come = [], []
        gone += [index for index in range(at, len(self.old)) if index not in self.kept]
        yield gone, come, None

    def _gone_and_come(self, gone: list[int], come: list[int]) -> Iterator[Change]:
        respelled = _respelled([self.old[i] for i in gone], [self.new[j] for j in come], self._played)
        for index, i in enumerate(gone):
            item = self.old[i]
            kind = Kind.LAYOUT if ("old", index) in respelled else _kind(item)
            yield Change((kind,), Part.ITEM, ChangeSite(item=i), address_of(item), None, item_text(item), before=item)
        for index, j in enumerate(come):
            item = self.new[j]
            kind = Kind.LAYOUT if ("new", index) in respelled else _kind(item)
            alike = () if kind is Kind.LAYOUT else self._alike(item)
            yield Change((kind,), Part.ITEM, ChangeSite(new_item=j), None, address_of(item), "", item_text(item),
                         after=item, alike=alike)  # fmt: skip

    def _pair(self, i: int, j: int) -> Iterator[Change]:
        before, after = self.old[i], self.new[j]
        site = ChangeSite(item=i, new_item=j)
        if i in self.moved:
            kind = Kind.LAYOUT if isinstance(before, Passage) else _kind(before)
            texts = item_text(before), item_text(after)
            yield Change((kind,), Part.ORDER, site, address_of(before), address_of(after), *texts)
        changes = list(compare_items(before, after, site, self.numbers, self.sounds))
        if not changes and not self.is_laid_out_otherwise:
            self.is_laid_out_otherwise = _text(before, after, self.before) != _text(after, before, self.after)
        repeats = tuple(self._repeats.get(id(after), ())) if changes else ()
        for change in changes:
            yield replace(change, alike=repeats) if repeats else change

    # ---- what is played

    @cached_property
    def _played(self) -> dict[int, list[TimedBar]]:
        """The bars that each item of either version makes, by the item's identity."""
        found: dict[int, list[TimedBar]] = defaultdict(list)
        for bar in (*self.before.timeline.bars, *self.after.timeline.bars):
            found[id(bar.like or bar.written)].append(bar)
        return found

    @cached_property
    def _repeats(self) -> dict[int, list[int]]:
        """The numbers of the bars that repeat a written one in the new version, by its identity."""
        found: dict[int, list[int]] = defaultdict(list)
        for bar in self.after.timeline.bars:
            if bar.like is not None:
                found[id(bar.written)].append(bar.number)
        return found

    @cached_property
    def _by_lines(self) -> dict[Hashable, list[Bar]]:
        """The bars of the new version in which something is struck, by what is played in them."""
        found: dict[Hashable, list[Bar]] = defaultdict(list)
        for bar in self.after.solo.bars:
            if any(notes_of(line) for line in bar.lines):
                found[lines_of(bar)].append(bar)
        return found

    def _alike(self, item: Item) -> tuple[int, ...]:
        """The other bars of the new version in which the same is played as in an added one."""
        if not isinstance(item, Bar):
            return ()
        return tuple(bar.number for bar in self._by_lines.get(lines_of(item), ()) if bar is not item)


def _kind(item: Item) -> Kind:
    return Kind.BARS if isinstance(item, Bar | Like) else Kind.PARTS


def _respelled(gone: Sequence[Item], come: Sequence[Item], played: Played) -> set[tuple[str, int]]:
    """Bars written out where a repeat stood, or the other way round, with the same music: indices of either side."""
    found: set[tuple[str, int]] = set()
    for repeats, others, sides in ((gone, come, ("old", "new")), (come, gone, ("new", "old"))):
        for index, item in enumerate(repeats):
            if isinstance(item, Like) and (stretch := _same_stretch(played[id(item)], others, played)):
                found.add((sides[0], index))
                found.update((sides[1], other) for other in stretch)
    return found


def _same_stretch(bars: list[TimedBar], items: Sequence[Item], played: Played) -> range:
    """Where written bars with the music of these stand together; empty where nowhere."""
    if bars:
        for start in range(len(items) - len(bars) + 1):
            stretch = range(start, start + len(bars))
            if all(_is_played(items[index], bar, played) for index, bar in zip(stretch, bars, strict=True)):
                return stretch
    return range(0)


def _is_played(item: Item, bar: TimedBar, played: Played) -> bool:
    """Whether an item makes one bar, with the same music as this one."""
    bars = played.get(id(item), ())
    return len(bars) == 1 and same_music(bars[0], bar)


def _text(item: Item, other: Item, version: Version) -> list[str]:
    """An item as it is laid out, the line that names its number left out where that differs from the other's."""
    spans = [line.span for line in item.lines] if isinstance(item, Bar) else []
    both_bars = isinstance(item, Bar) and isinstance(other, Bar) and item.number == other.number
    if both_bars or (not isinstance(item, Bar) and item == other):
        spans.append(item.span)
    return [version.source.text[span.start : span.end] for span in spans]


def _runs(numbers: list[int]) -> str:
    """`5-24, 30` for these numbers in their order."""
    return ", ".join(f"{first}-{last}" if last > first else f"{first}" for first, last in number_runs(numbers))
