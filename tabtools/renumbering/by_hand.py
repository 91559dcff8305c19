"""Bars that were put in, taken out or moved by hand: they are numbered in their order, and what names them follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import SequenceMatcher

from tabtools.model.solo import Bar, Like, Passage, Solo, first_number, numbers_of
from tabtools.renumbering.plan import Plan, PlanError
from tabtools.review.align import align
from tabtools.source import SourceText


@dataclass(frozen=True, slots=True)
class Numbered:
    """A solo whose bars are numbered in their order; `repeats` and `passages` name bars that are gone or apart now."""

    solo: Solo
    plan: Plan
    repeats: tuple[Like, ...] = ()
    passages: tuple[Passage, ...] = ()


def numbered_since(before: Solo | None, solo: Solo) -> Numbered:
    """The bars numbered as they stand; repeats and passages that are written as they were `before` go along.

    Without a version before, every bar has to have a number of its own that tells which one it was. Raises `PlanError`.
    """
    in_order = _in_order(solo)
    if before is None:
        _check_told_apart(solo)
    old = before or solo
    pairs = align(old, in_order).pairs if before else tuple((i, i) for i in range(len(solo.items)))
    numbers: dict[int, int] = {}
    for i, j in pairs:
        was, now = old.items[i], in_order.items[j]
        if isinstance(was, Bar | Like) and isinstance(now, Bar | Like):
            numbers.update(zip(numbers_of(was), numbers_of(now), strict=False))
    all_old = {number for item in old.items if isinstance(item, Bar | Like) for number in numbers_of(item)}
    all_new = [number for item in in_order.items if isinstance(item, Bar | Like) for number in numbers_of(item)]
    kept = set(numbers.values())
    made = tuple(number for number in all_new if number not in kept)
    plan = Plan(frozenset(all_old - set(numbers)), made, dict(sorted(numbers.items())))
    items = list(in_order.items)
    repeats, passages = [], []
    for i, j in pairs:
        was, written, now = old.items[i], solo.items[j], items[j]
        if isinstance(was, Like) and isinstance(now, Like) and isinstance(written, Like):
            if (was.like_first, was.like_last) == (written.like_first, written.like_last):
                if (source := _together(was.like_first, was.like_last, numbers)) is None:
                    repeats.append(now)
                else:
                    items[j] = replace(now, like_first=source.start, like_last=source.stop - 1)
        elif isinstance(was, Passage) and isinstance(now, Passage) and was.range == now.range:
            stretch = plan.passage(now.range)
            if stretch is None:
                passages.append(now)
            else:
                items[j] = replace(now, range=stretch)
    return Numbered(replace(solo, items=tuple(items)), plan, tuple(repeats), tuple(passages))


def unchanged_lines(before: SourceText | None, now: SourceText) -> frozenset[int]:
    """The numbers of the lines that stood in a text before; those are not yet carried along by hand."""
    if before is None:
        return frozenset()
    matcher = SequenceMatcher(None, before.lines(), now.lines(), autojunk=False)
    blocks = matcher.get_matching_blocks()
    return frozenset(number + 1 for _, start, size in blocks for number in range(start, start + size))


def _in_order(solo: Solo) -> Solo:
    """The bars numbered one after the other as they stand, from the number of the first."""
    items = []
    following: int | None = None
    for item in solo.items:
        if isinstance(item, Bar | Like):
            number = first_number(item) if following is None else following
            following = number + len(numbers_of(item))
            item = _under(item, number)
        items.append(item)
    return replace(solo, items=tuple(items))


def _under(item: Bar | Like, number: int) -> Bar | Like:
    """A bar, or a repeat with the chords that name its bars, under another number."""
    if isinstance(item, Bar):
        return replace(item, number=number)
    away = number - item.first
    chords = tuple(
        replace(mark, at=replace(mark.at, bar=mark.at.bar + away)) if mark.at and mark.at.bar is not None else mark
        for mark in item.chords
    )
    return replace(item, first=number, last=item.last + away, chords=chords)


def _check_told_apart(solo: Solo) -> None:
    known: set[int] = set()
    for item in solo.items:
        if isinstance(item, Bar | Like):
            if twice := known.intersection(numbers_of(item)):
                message = f"two bars have the number {min(twice)}, and no commit says which of them is the old one"
                raise PlanError(f"{message}; number them by hand, or put bars in with tabtools bars insert")
            known.update(numbers_of(item))


def _together(first: int, last: int, numbers: Mapping[int, int]) -> range | None:
    """The bars of a repeated stretch under their new numbers; None where they are not one behind the other."""
    now = [numbers.get(number) for number in range(first, last + 1)]
    start = now[0] if now else None
    if start is None or now != list(range(start, start + len(now))):
        return None
    return range(start, start + len(now))
