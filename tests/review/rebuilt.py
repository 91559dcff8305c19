"""A comparison's changes applied to the old version give the new one: so they say all that there is to say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import count
from typing import Any

from tabtools.model.solo import Bar, BeatLine, Field, Group, Item, Note, Slot, Solo, Stroke
from tabtools.notation.header import read_header
from tabtools.review.align import renumbered
from tabtools.review.change import Change, Part


def apply(changes: Iterable[Change], old: Solo) -> Solo:
    """The new version: the same solo as the one compared, spans aside.

    `old` is the version the changes start from; with any other solo the outcome means nothing.
    """
    changes = tuple(changes)
    fields = _fields(old.fields, [change for change in changes if change.site.item is None])
    remarks = next((change.after for change in changes if change.part is Part.REMARKS), old.remarks)
    items = _items(old, changes)
    return replace(old, fields=fields, header=read_header(fields, old.path, []), items=items, remarks=remarks)


def _fields(old: tuple[Field, ...], changes: Sequence[Change]) -> tuple[Field, ...]:
    fields: dict[int, Field] = dict(enumerate(old))
    placed: dict[int, Field] = {}
    for change in changes:
        at, site = change.site.field, change.site
        if change.part is Part.FIELD and change.after is None:
            del fields[at]
        elif change.part is Part.FIELD and change.before is None:
            placed[site.new_field] = change.after
        elif change.part is Part.FIELD:
            fields[at] = replace(fields[at], value=change.after.value)
        elif change.part is Part.COMMENTS and at is not None:
            fields[at] = replace(fields[at], comments=change.after)
    for change in changes:
        if change.part is Part.ORDER and change.site.field is not None:
            placed[change.site.new_field] = fields.pop(change.site.field)
    return _placed(list(fields.values()), placed)


def _placed(in_order: list, placed: dict[int, Any]) -> tuple:
    """What keeps its order, with what has a place of its own put there."""
    rest = iter(in_order)
    return tuple(placed[index] if index in placed else next(rest) for index in range(len(in_order) + len(placed)))


def _items(old: Solo, changes: Sequence[Change]) -> tuple[Item, ...]:
    items = _renumbered(old, next((change for change in changes if change.part is Part.NUMBERS), None))
    by_item: dict[int, list[Change]] = defaultdict(list)
    placed: dict[int, Item] = {}
    for change in changes:
        if change.site.item is not None:
            by_item[change.site.item].append(change)
        elif change.part is Part.ITEM:
            placed[change.site.new_item] = change.after
    for index, of_item in by_item.items():
        item = _changed(items.pop(index), of_item)
        moved = next((change for change in of_item if change.part is Part.ORDER), None)
        if moved is not None:
            placed[moved.site.new_item] = item
        elif item is not None:
            items[index] = item
    return _placed([items[index] for index in sorted(items)], placed)


def _renumbered(old: Solo, change: Change | None) -> dict[int, Item]:
    if change is None:
        return dict(enumerate(old.items))
    numbers, first = dict(change.before), dict(change.after)
    return {
        index: replace(item, number=first.get(index, item.number))
        if isinstance(item, Bar)
        else renumbered(item, numbers)
        for index, item in enumerate(old.items)
    }


def _changed(item: Item, changes: Sequence[Change]) -> Item | None:
    """The item after its own changes, None where it is gone.

    Lines first, from the end: the rest is counted in the new ones.
    """
    for change in reversed(changes):
        if change.part is Part.LINES:
            at = change.site.old_line
            item = replace(item, lines=(*item.lines[:at], *change.after, *item.lines[at + len(change.before) :]))
    for change in changes:
        if change.part is Part.ITEM:
            if change.after is None:
                return None
            item = replace(change.after, comments=item.comments)
        elif change.part is Part.COMMENTS and change.site.line is None:
            item = replace(item, comments=change.after)
        elif change.part in (Part.CHORDS, Part.AT, Part.METER, Part.TEMPO, Part.FREE):
            item = replace(item, **{change.part: change.after})
        elif change.part in (Part.COMMENTS, Part.MARKS, Part.DOUBT, Part.STROKE, Part.NOTE):
            at = change.site.line
            item = replace(item, lines=(*item.lines[:at], _line(item.lines[at], change), *item.lines[at + 1 :]))
    return item


def _line(line: BeatLine, change: Change) -> BeatLine:
    if change.part is Part.COMMENTS:
        return replace(line, comments=change.after)
    if change.part is Part.MARKS:
        return replace(line, marks=change.after)
    if change.part is Part.DOUBT:
        return replace(line, doubtful=change.after)
    return replace(line, slots=_slots(line.slots, count(), change))


def _slots(slots: tuple[Slot, ...], numbers: Iterator[int], change: Change) -> tuple[Slot, ...]:
    """The slots with one stroke changed, strokes being counted off as they come."""
    changed = []
    for slot in slots:
        if isinstance(slot, Group):
            slot = replace(slot, slots=_slots(slot.slots, numbers, change))
        elif isinstance(slot, Stroke) and next(numbers) == change.site.stroke:
            slot = replace(slot, notes=_notes(slot.notes, change))
        changed.append(slot)
    return tuple(changed)


def _notes(notes: tuple[Note, ...], change: Change) -> tuple[Note, ...]:
    if change.part is Part.STROKE:
        return change.after
    at = change.site.note
    return (*notes[:at], change.after, *notes[at + 1 :])
