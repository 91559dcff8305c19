"""What two sides made of one piece: the header field, section, bar, repeat or passage both had."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from tabtools.model.solo import Bar, Field, Item, Like, Passage, Section
from tabtools.review.merging.lines import lines_in_conflict, merge_lines
from tabtools.review.merging.settled import merge_chords
from tabtools.review.merging.sides import BarSides, BeatCollisionError, CollisionError, merge_comments, three_way


def merge_field(base: Field, ours: Field, theirs: Field) -> Field:
    """Raises `CollisionError`."""
    return replace(
        ours,
        value=three_way(base.value, ours.value, theirs.value),
        comments=merge_comments(base.comments, ours.comments, theirs.comments),
    )


def merge_item(base: Item, ours: Item, theirs: Item) -> Item:
    """Raises `CollisionError`, `BeatCollisionError` where only beats of a bar collide."""
    merge = _MERGES[type(base)]
    comments = merge_comments(base.comments, ours.comments, theirs.comments)
    try:
        merged: Item = merge(base, ours, theirs)
    except BeatCollisionError as collision:
        bars = BarSides(*(replace(bar, comments=comments) for bar in collision.bars))
        raise BeatCollisionError(str(collision), bars) from None
    return replace(merged, comments=comments)


def _merge_section(base: Section, ours: Section, theirs: Section) -> Section:
    label = three_way(base.label, ours.label, theirs.label)
    return replace(ours, label=label, name=three_way(base.name, ours.name, theirs.name))


def _merge_passage(base: Passage, ours: Passage, theirs: Passage) -> Passage:
    stretch = three_way(base.range, ours.range, theirs.range)
    return replace(ours, range=stretch, name=three_way(base.name, ours.name, theirs.name))


def _merge_repeat(base: Like, ours: Like, theirs: Like) -> Like:
    bars = [(one.first, one.last, one.like_first, one.like_last) for one in (base, ours, theirs)]
    chords = merge_chords(base.chords, ours.chords, theirs.chords)
    first, last, like_first, like_last = three_way(*bars)
    return replace(ours, first=first, last=last, like_first=like_first, like_last=like_last, chords=chords)


def _merge_bar(base: Bar, ours: Bar, theirs: Bar) -> Bar:
    values = {
        name: three_way(*(getattr(one, name) for one in (base, ours, theirs)))
        for name in ("number", "at", "meter", "tempo", "free")
    }
    chords = merge_chords(base.chords, ours.chords, theirs.chords)
    for one, other in ((ours, theirs), (theirs, ours)):
        is_alone = (one.free is None) != (base.free is None) and (other.free is None) == (base.free is None)
        if is_alone and other.lines != base.lines:
            raise CollisionError  # out of time, lines share a bar in another way
    bar = replace(ours, **values, chords=chords, lines=())
    versions = base.lines, ours.lines, theirs.lines
    try:
        return replace(bar, lines=merge_lines(*versions))
    except CollisionError:
        own = lines_in_conflict(*versions)
        bars = BarSides(*(replace(bar, lines=lines) for lines in (own.base, own.ours, own.theirs)))
        raise BeatCollisionError(own.why, bars) from None


_MERGES: dict[type, Callable[[Any, Any, Any], Any]] = {
    Bar: _merge_bar,
    Like: _merge_repeat,
    Section: _merge_section,
    Passage: _merge_passage,
}
