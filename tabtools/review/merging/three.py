"""What two sides made of one piece: the header field, section, bar, repeat or passage both had."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from tabtools.model.solo import Bar, BeatLine, Comment, Comments, Field, Item, Like, Passage, Section
from tabtools.review.pairing import blocks_of

Value = TypeVar("Value")
Remarks = tuple[Comment, ...]
Lines = tuple[BeatLine, ...]


class CollisionError(Exception):
    """Both sides changed the same thing, differently."""


def three_way(base: Value, ours: Value, theirs: Value) -> Value:
    """What one side changed, or both alike. Raises `CollisionError`."""
    if ours == theirs or theirs == base:
        return ours
    if ours == base:
        return theirs
    raise CollisionError


def merge_field(base: Field, ours: Field, theirs: Field) -> Field:
    """Raises `CollisionError`."""
    return replace(
        ours,
        value=three_way(base.value, ours.value, theirs.value),
        comments=merge_comments(base.comments, ours.comments, theirs.comments),
    )


def merge_item(base: Item, ours: Item, theirs: Item) -> Item:
    """Raises `CollisionError`."""
    merge = _MERGES[type(base)]
    comments = merge_comments(base.comments, ours.comments, theirs.comments)
    merged: Item = merge(base, ours, theirs)
    return replace(merged, comments=comments)


def merge_comments(base: Comments, ours: Comments, theirs: Comments) -> Comments:
    """Comments that both sides added above or below stand one after the other. Raises `CollisionError`."""
    return Comments(
        _both(base.above, ours.above, theirs.above),
        three_way(base.beside, ours.beside, theirs.beside),
        _both(base.below, ours.below, theirs.below),
    )


def _both(base: Remarks, ours: Remarks, theirs: Remarks) -> Remarks:
    if base == () and ours and theirs and ours != theirs:
        return ours + tuple(comment for comment in theirs if comment not in ours)
    return three_way(base, ours, theirs)


def _merge_section(base: Section, ours: Section, theirs: Section) -> Section:
    label = three_way(base.label, ours.label, theirs.label)
    return replace(ours, label=label, name=three_way(base.name, ours.name, theirs.name))


def _merge_passage(base: Passage, ours: Passage, theirs: Passage) -> Passage:
    stretch = three_way(base.range, ours.range, theirs.range)
    return replace(ours, range=stretch, name=three_way(base.name, ours.name, theirs.name))


def _merge_repeat(base: Like, ours: Like, theirs: Like) -> Like:
    bars = [(one.first, one.last, one.like_first, one.like_last) for one in (base, ours, theirs)]
    chords = three_way(base.chords, ours.chords, theirs.chords)
    first, last, like_first, like_last = three_way(*bars)
    return replace(ours, first=first, last=last, like_first=like_first, like_last=like_last, chords=chords)


def _merge_bar(base: Bar, ours: Bar, theirs: Bar) -> Bar:
    values = {
        name: three_way(*(getattr(one, name) for one in (base, ours, theirs)))
        for name in ("number", "chords", "at", "meter", "tempo", "free")
    }
    for one, other in ((ours, theirs), (theirs, ours)):
        is_alone = (one.free is None) != (base.free is None) and (other.free is None) == (base.free is None)
        if is_alone and other.lines != base.lines:
            raise CollisionError  # out of time, lines share a bar in another way
    return replace(ours, **values, lines=_merge_lines(base.lines, ours.lines, theirs.lines))


def _merge_lines(*versions: Sequence[BeatLine]) -> tuple[BeatLine, ...]:
    merged: list[BeatLine] = []
    for block in blocks_of(*versions):
        three = [tuple(lines[index] for index in indices) for lines, indices in zip(versions, block, strict=True)]
        merged.extend(_merge_block(*three))
    return tuple(merged)


def _merge_block(
    base: tuple[BeatLine, ...], ours: tuple[BeatLine, ...], theirs: tuple[BeatLine, ...]
) -> tuple[BeatLine, ...]:
    """Lines that cover the same counts: one beat each, as a rule. Where both sides changed them, line by line."""
    try:
        return three_way(base, ours, theirs)
    except CollisionError:
        known = [_by_counts(side) for side in (base, ours, theirs)]
        if list(known[1]) != list(known[2]) and len({counts[:2] for side in known for counts in side}) > 1:
            raise
    merged = (_merge_line(*(side.get(name) for side in known)) for name in {**known[1], **known[2]})
    return tuple(line for line in merged if line is not None)


def _by_counts(lines: Sequence[BeatLine]) -> dict[tuple[int, int, int], BeatLine]:
    """Lines by their counts, and how many of these counts there are by then: a bar may fill one twice."""
    seen: Counter[tuple[int, int]] = Counter()
    found: dict[tuple[int, int, int], BeatLine] = {}
    for line in lines:
        seen[line.first, line.last] += 1
        found[line.first, line.last, seen[line.first, line.last]] = line
    return found


def _merge_line(base: BeatLine | None, ours: BeatLine | None, theirs: BeatLine | None) -> BeatLine | None:
    """One line, None where it is not there. Music and comments may come from different sides."""
    if base is None or ours is None or theirs is None:
        return three_way(base, ours, theirs)
    music = three_way(*map(_music, (base, ours, theirs)))
    kept = ours if _music(ours) == music else theirs
    return replace(kept, comments=merge_comments(base.comments, ours.comments, theirs.comments))


def _music(line: BeatLine) -> tuple[object, ...]:
    return line.slots, line.marks, line.doubtful


_MERGES: dict[type, Callable[[Any, Any, Any], Any]] = {
    Bar: _merge_bar,
    Like: _merge_repeat,
    Section: _merge_section,
    Passage: _merge_passage,
}
