"""Some bars of a solo, or a stretch within bars, as a solo of its own."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from tabtools.model.solo import (
    Address,
    AddressRange,
    Bar,
    BeatLine,
    ChordMark,
    Group,
    Hold,
    Item,
    Like,
    Passage,
    Rest,
    Section,
    Slot,
    Solo,
    Stroke,
    numbers_of,
)
from tabtools.source import Span
from tabtools.timeline import Timeline
from tabtools.timeline.places import PlaceError, notes_at
from tabtools.transposing.transposed import TransposeError


def bars_alone(timeline: Timeline, first: int, last: int) -> Solo:
    """The solo with these bars alone, numbered from 1, and the sections and passages among them.

    The first of them is given the meter, tempo and chord that were in force there. Raises `TransposeError`.
    """
    alone = f"bars {first}-{last}" if first != last else f"bar {first}"
    items = list(_kept(timeline.solo, first, last))
    if not any(isinstance(item, Bar | Like) for item in items):
        raise TransposeError(f"the solo has no {alone}")
    begins = next(item for item in items if isinstance(item, Bar | Like))
    if isinstance(begins, Bar) and begins is not next(iter(timeline.solo.bars)) and _goes_on(begins):
        here = f"bar {begins.number} goes on with the note before it"
        raise TransposeError(f"{here}; name a longer stretch, from bar {begins.number - 1}")
    return _alone(timeline, items, alone)


def stretch_alone(timeline: Timeline, stretch: AddressRange, name: str) -> Solo:
    """The same of a stretch within bars: they stay whole, with rests for what is played before and after it."""
    first, last = stretch
    if first.count is None and last.count is None:
        return bars_alone(timeline, first.bar, last.bar)
    try:
        notes = notes_at(timeline, stretch)
    except PlaceError as fault:
        raise TransposeError(str(fault)) from None
    if not notes:
        raise TransposeError(f"{stretch} has no notes")
    indices = range(notes[0].index, notes[-1].index + 1)
    for note in notes:
        if note.origin is not None and note.origin not in indices and note.note.via:
            begins = timeline.notes[note.origin].address
            raise TransposeError(f"{note.address} goes on from {begins}; name a longer stretch, from {begins}")
    items = list(_kept(timeline.solo, first.bar, last.bar))
    repeat = next((item for item in items if isinstance(item, Like)), None)
    if repeat is not None:
        here = f"bar {repeat.first} repeats bar {repeat.like_first}"
        raise TransposeError(f"{here}; name whole bars, like {first.bar}-{last.bar}")
    silent = _Silencing({note.note.span for note in notes})
    within = [silent.bar(item) if isinstance(item, Bar) else item for item in items]
    kept = [item for item in within if not isinstance(item, Passage) or _is_within(item, timeline, indices)]
    return _alone(timeline, kept, name)


def bars_before(first: int) -> int:
    """By how much the numbers of bars are smaller in an excerpt that begins with this one; a pickup keeps its own."""
    return max(0, first - 1)


def _is_within(passage: Passage, timeline: Timeline, indices: range) -> bool:
    try:
        notes = notes_at(timeline, passage.range)
    except PlaceError:
        return False
    return bool(notes) and notes[0].index in indices and notes[-1].index in indices


def _alone(timeline: Timeline, items: Sequence[Item], name: str) -> Solo:
    """A solo of these items; `name` says in its title which they are."""
    solo = timeline.solo
    begins = next(item for item in items if isinstance(item, Bar | Like))
    earlier = bars_before(numbers_of(begins)[0])
    fields = tuple(
        replace(field, value=f"{field.value}, {name}") if field.name == "title" else field for field in solo.fields
    )
    found = (_in_force(item, timeline) if item is begins and isinstance(item, Bar) else item for item in items)
    return replace(solo, fields=fields, items=tuple(_numbered(item, earlier) for item in found))


class _Silencing:
    """Bars one after another with rests for all strokes but those with these notes."""

    def __init__(self, spans: Collection[Span]):
        self.spans = spans
        self.sounds = False

    def bar(self, bar: Bar) -> Bar:
        """A bar with what is left of it."""
        return replace(bar, lines=tuple(map(self._line, bar.lines)))

    def _line(self, line: BeatLine) -> BeatLine:
        slots = tuple(map(self._slot, line.slots))
        if all(isinstance(slot, Rest) for slot in slots):
            return replace(line, slots=(Rest(),), marks=(), doubtful=False)
        return replace(line, slots=slots)

    def _slot(self, slot: Slot) -> Slot:
        if isinstance(slot, Group):
            slots = tuple(map(self._slot, slot.slots))
            silent = all(isinstance(one, Rest) for one in slots)
            return Rest(slot.weight) if silent else replace(slot, slots=slots)
        if isinstance(slot, Stroke):
            self.sounds = any(note.span in self.spans for note in slot.notes)
        elif isinstance(slot, Rest):
            self.sounds = False
        return slot if self.sounds else Rest(slot.weight)


def _kept(solo: Solo, first: int, last: int) -> Iterator[Item]:
    kept: set[int] = set()
    sections: list[Section] = []
    for item in solo.items:
        if isinstance(item, Section):
            sections = [*sections, item] if kept else [item]
        elif isinstance(item, Passage):
            if first <= item.range.first.bar and item.range.last.bar <= last:
                yield item
        elif numbers_of(item)[-1] >= first and numbers_of(item)[0] <= last:
            if isinstance(item, Like):
                _check_like(item, kept, first, last)
            kept.update(numbers_of(item))
            yield from sections
            sections = []
            yield item


def _check_like(like: Like, kept: set[int], first: int, last: int) -> None:
    missing = any(number not in kept for number in range(like.like_first, like.like_last + 1))
    if missing or like.first < first or like.last > last:
        here = f"bar {like.first} repeats bar {like.like_first}, which is not among these"
        raise TransposeError(f"{here}; name a longer stretch")


def _goes_on(bar: Bar) -> bool:
    """Whether a bar begins with a hold, or with a move from a note that it does not have."""
    slot = bar.lines[0].slots[0] if bar.lines else Rest()
    while isinstance(slot, Group):
        slot = slot.slots[0]
    if isinstance(slot, Stroke):
        return any(note.via and (note.string is None or note.only_moves_pitch) for note in slot.notes)
    return isinstance(slot, Hold)


def _in_force(bar: Bar, timeline: Timeline) -> Bar:
    """A bar that says by itself what was said before it."""
    timed, header = timeline.bar_numbers[bar.number], timeline.solo.header
    sounds_on = bool(timed.chord) and not any(mark.at is None or mark.at.count == 1 for mark in bar.chords)
    return replace(
        bar,
        chords=(ChordMark(str(timed.chord)), *bar.chords) if sounds_on else bar.chords,
        meter=timed.meter if bar.meter is None and bar.free is None and timed.meter != header.meter else bar.meter,
        tempo=timed.tempo if bar.tempo is None and bar.free is None and timed.tempo != header.tempo else bar.tempo,
    )


def _numbered(item: Item, earlier: int) -> Item:
    """An item whose bars have numbers so much smaller."""
    if isinstance(item, Bar):
        return replace(item, number=item.number - earlier)
    if isinstance(item, Passage):
        return replace(item, range=AddressRange(*(_address(one, earlier) for one in item.range)))
    if isinstance(item, Section):
        return item
    return replace(
        item,
        first=item.first - earlier,
        last=item.last - earlier,
        like_first=item.like_first - earlier,
        like_last=item.like_last - earlier,
        chords=tuple(_mark(mark, earlier) for mark in item.chords),
    )


def _address(address: Address, earlier: int) -> Address:
    return address._replace(bar=address.bar - earlier)


def _mark(mark: ChordMark, earlier: int) -> ChordMark:
    if mark.at is None or mark.at.bar is None:
        return mark
    return replace(mark, at=replace(mark.at, bar=mark.at.bar - earlier))
