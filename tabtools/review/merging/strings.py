"""Moves that name no string, kept on the string their writer meant when lines of two sides come together.

A move takes its string from the stroke before. Within a line that is part of what its writer wrote; only at the start
of a line does it depend on another one, which may come from the other side.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from tabtools.model.solo import Bar, BeatLine, Group, Note, Slot, Solo, Stroke
from tabtools.review.merging.sides import CollisionError, three_way
from tabtools.timeline import timeline_of

Origin = Sequence[int | None]
"""The indices of an item in the base, ours and theirs."""


class _Opening(NamedTuple):
    """A line that opens with a move that names no string: the bar's index, the line's, and the note."""

    item: int
    line: int
    note: Note

    def bar(self, solo: Solo) -> Bar:
        bar = solo.items[self.item]
        assert isinstance(bar, Bar)
        return bar


def name_moved_strings(merged: Solo, versions: Sequence[Solo], origins: Mapping[int, Origin]) -> Solo:
    """The merged solo, a string named wherever a move would otherwise change to that of a stroke before it.

    `versions` are the base, ours and theirs; `origins` say of which of their items the merged bars were made.
    """
    openings = [opening for index in origins for opening in _openings(merged, index)]
    strings: list[dict[int, int]] = []
    for opening in openings:
        strings = strings or [_strings(solo) for solo in versions]
        line = opening.bar(merged).lines[opening.line]
        bars = [_bar_at(solo, index) for solo, index in zip(versions, origins[opening.item], strict=True)]
        meant = _meant(line, bars, strings)
        if meant and meant != _strings(merged).get(id(opening.note)):
            merged = _with_line(merged, opening, replace(line, slots=_with_string(line.slots, opening.note, meant)))
    return merged


def _bar_at(solo: Solo, index: int | None) -> Bar | None:
    item = None if index is None else solo.items[index]
    return item if isinstance(item, Bar) else None


def _openings(solo: Solo, index: int) -> Iterator[_Opening]:
    bar = _bar_at(solo, index)
    for at, line in enumerate(bar.lines if bar else ()):
        note = _first_note(line.slots)
        if note is not None and note.via and note.string is None:
            yield _Opening(index, at, note)


def _first_note(slots: tuple[Slot, ...]) -> Note | None:
    for slot in slots:
        if isinstance(slot, Stroke):
            return slot.notes[0]
        if isinstance(slot, Group) and (note := _first_note(slot.slots)):
            return note
    return None


def _strings(solo: Solo) -> dict[int, int]:
    """The string of each written note, by the note's identity; 0 where none could be told."""
    return {id(note.note): note.string for note in reversed(timeline_of(solo).notes)}


def _meant(line: BeatLine, bars: Sequence[Bar | None], strings: Sequence[Mapping[int, int]]) -> int | None:
    """The string on which those who wrote the line have its first note; 0 where that cannot be told.

    Of a line that nobody wrote whole, those count who wrote its first note.
    """
    base, ours, theirs = _strings_in(bars, strings, lambda one: _music(one) == _music(line))
    if base is ours is theirs is None:
        base, ours, theirs = _strings_in(bars, strings, lambda one: _opening(one) == _opening(line))
    if ours is None or theirs is None:
        return theirs if ours is None else ours
    try:
        return three_way(base, ours, theirs)
    except CollisionError:
        return ours


def _strings_in(
    bars: Sequence[Bar | None], strings: Sequence[Mapping[int, int]], is_same: Callable[[BeatLine], bool]
) -> Iterator[int | None]:
    for bar, known in zip(bars, strings, strict=True):
        same = filter(is_same, bar.lines) if bar else iter(())
        yield next((known.get(id(_first_note(one.slots))) for one in same), None)


def _music(line: BeatLine) -> tuple[object, ...]:
    return line.first, line.last, line.slots


def _opening(line: BeatLine) -> tuple[object, ...]:
    return line.first, line.last, _first_note(line.slots)


def _with_line(solo: Solo, opening: _Opening, line: BeatLine) -> Solo:
    bar = opening.bar(solo)
    bar = replace(bar, lines=(*bar.lines[: opening.line], line, *bar.lines[opening.line + 1 :]))
    return replace(solo, items=(*solo.items[: opening.item], bar, *solo.items[opening.item + 1 :]))


def _with_string(slots: tuple[Slot, ...], wanted: Note, string: int) -> tuple[Slot, ...]:
    changed: list[Slot] = []
    for slot in slots:
        if isinstance(slot, Group):
            slot = replace(slot, slots=_with_string(slot.slots, wanted, string))
        elif isinstance(slot, Stroke) and slot.notes[0] is wanted:
            slot = replace(slot, notes=(replace(wanted, string=string), *slot.notes[1:]))
        changed.append(slot)
    return tuple(changed)
