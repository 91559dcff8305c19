"""Moves that name no string, kept on the string their writer meant when lines of two sides come together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tabtools.model.solo import Bar, BeatLine, Group, Note, Slot, Solo, Stroke, notes_of
from tabtools.review.merging.three import Collision, three_way
from tabtools.timeline import timeline_of

Line = tuple[int, int, tuple[Slot, ...]]


def name_moved_strings(merged: Solo, versions: tuple[Solo, Solo, Solo], origins: dict[int, tuple]) -> Solo:
    """The merged solo, a string named wherever a move would otherwise change to that of a stroke before it.

    `versions` are the base, ours and theirs; `origins` are, by the index of a merged bar, the indices of the items it
    was made of, None where there was none.
    """
    strings = [_strings(solo) for solo in versions]
    while True:
        here = _strings(merged)
        wrong = next(_strays(merged, versions, origins, here, strings), None)
        if wrong is None:
            return merged
        index, at, note, string = wrong
        bar = merged.items[index]
        line = bar.lines[at]
        line = replace(line, slots=_with_string(line.slots, note, string))
        bar = replace(bar, lines=(*bar.lines[:at], line, *bar.lines[at + 1 :]))
        merged = replace(merged, items=(*merged.items[:index], bar, *merged.items[index + 1 :]))


def _strings(solo: Solo) -> dict[int, int]:
    """The string of each written note, by the note's identity."""
    return {id(note.note): note.string for note in reversed(timeline_of(solo).notes)}


def _strays(
    merged: Solo, versions: tuple[Solo, Solo, Solo], origins: dict[int, tuple], here: dict, strings: list[dict]
) -> Iterator[tuple[int, int, Note, int]]:
    for index, names in origins.items():
        bars = [None if name is None else solo.items[name] for solo, name in zip(versions, names, strict=True)]
        for at, line in enumerate(merged.items[index].lines):
            if any(note.string is None for note in notes_of(line)):
                yield from ((index, at, *stray) for stray in _strays_of(line, bars, here, strings))


def _strays_of(
    line: BeatLine, bars: list[Bar | None], here: dict[int, int], strings: list[dict[int, int]]
) -> Iterator[tuple[Note, int]]:
    same = [_same_line(line, bar) for bar in bars]
    for number, note in enumerate(notes_of(line)):
        if note.string is None and id(note) in here:
            meant = [
                known.get(id(notes_of(other)[number])) if other else None
                for other, known in zip(same, strings, strict=True)
            ]
            string = _meant(*meant)
            if string and string != here[id(note)]:
                yield note, string


def _same_line(line: BeatLine, bar: Bar | None) -> BeatLine | None:
    wanted = (line.first, line.last, line.slots)
    return next((one for one in bar.lines if (one.first, one.last, one.slots) == wanted), None) if bar else None


def _meant(base: int | None, ours: int | None, theirs: int | None) -> int | None:
    """The string the sides that wrote the line have it on."""
    if ours is None or theirs is None:
        return theirs if ours is None else ours
    try:
        return three_way(base, ours, theirs)
    except Collision:
        return ours


def _with_string(slots: tuple[Slot, ...], wanted: Note, string: int) -> tuple[Slot, ...]:
    changed: list[Slot] = []
    for slot in slots:
        if isinstance(slot, Group):
            slot = replace(slot, slots=_with_string(slot.slots, wanted, string))
        elif isinstance(slot, Stroke):
            notes = tuple(replace(note, string=string) if note is wanted else note for note in slot.notes)
            slot = replace(slot, notes=notes) if notes != slot.notes else slot
        changed.append(slot)
    return tuple(changed)
