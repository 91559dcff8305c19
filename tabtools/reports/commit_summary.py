"""A correction as history tells it: in few words, in detail, with its bars. Made from texts alone, of plain values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import unified_diff
from functools import lru_cache

from tabtools.model.solo import Bar, Like, numbers_of
from tabtools.reports.change_summary import bars_in_words, summary
from tabtools.reports.changes import groups_of
from tabtools.reports.unread_words import mended_bars, mended_in_words
from tabtools.review.change import Change, Comparison, ReadVersion, read_version
from tabtools.review.compare import compare
from tabtools.review.merge_changes import own_changes
from tabtools.source import from_text, visible
from tabtools.wording import several

MOST_DETAILS = 60

Numbers = tuple[tuple[int, int], ...]
"""Pairs of bar numbers: of a version, and of the same bar in a later one."""


@dataclass(frozen=True, slots=True)
class Corrected:
    """What a correction changed in the music; without a summary nothing.

    `details` are the first rows of what is told of it, `more` how many are left out; `bars` are the numbers that the
    changed bars have after it; `numbers` lead from those before it, one row for each text it was made from. Where
    `is_readable` is False some lines cannot be read before or after it, and lines of text are told; where `is_known` is
    False a text cannot be had.
    """

    summary: str = ""
    details: tuple[str, ...] = ()
    more: int = 0
    bars: tuple[int, ...] = ()
    numbers: tuple[Numbers, ...] = ()
    is_readable: bool = True
    is_known: bool = True


def corrected(olds: Sequence[str | None], new: str | None) -> Corrected:
    """What became of the first text, or of several that were merged, in the second; None is no text at all.

    Of a merge only what differs from each of the texts is its own.
    """
    before = [None if text is None else _version(text) for text in olds]
    after = None if new is None else _version(new)
    if after is None or not after.is_whole or not any(one is not None and one.is_whole for one in before):
        unread = [one for one in before if one is not None]
        told = _unread(unread[0], after) if unread and after is not None else Corrected(is_readable=False)
        return replace(told, numbers=((),) * len(before))
    comparisons = [compare(one, after) if one is not None and one.is_whole else None for one in before]
    numbers = tuple(tuple(one.bar_numbers.items()) if one else () for one in comparisons)
    comparison, own = own_changes([one for one in comparisons if one])
    if not own:
        return Corrected(numbers=numbers)
    rows = [
        visible(" ".join(filter(None, (told.place, told.text))))
        for group in groups_of(comparison)
        for told in group.told
        if any(one is change for one in told.changes for change in own)
    ]
    bars = tuple(_bars(own, comparison))
    said = visible(summary(own))
    if rows == [f"({said})"]:
        rows = []
    return Corrected(said, tuple(rows[:MOST_DETAILS]), max(0, len(rows) - MOST_DETAILS), bars, numbers)


def _unread(before: ReadVersion, after: ReadVersion) -> Corrected:
    """What is told where lines cannot be read: how many of them were mended, and how the texts differ."""
    was, now = len(before.unreadable_lines), len(after.unreadable_lines)
    bars = mended_bars(before.solo, after.solo)
    if now >= was:
        bars = tuple(sorted({bar.number for bar in after.solo.bars if bar.damaged}))
    where = f" ({bars_in_words(bars)})" if bars else ""
    if not now:
        said = mended_in_words(was, before.solo, after.solo)
    elif now < was:
        said = f"{was - now} of {several(was, 'line')} that cannot be read mended{where}"
    else:
        said = f"{several(now, 'line')} {'still cannot' if now == was else 'cannot'} be read{where}"
    rows = [visible(row) for row in _lines_that_differ(before.source.text, after.source.text)]
    return Corrected(said, tuple(rows[:MOST_DETAILS]), max(0, len(rows) - MOST_DETAILS), bars, is_readable=False)


def _lines_that_differ(before: str, after: str) -> list[str]:
    """`- 3  =E4?=Eb4?`, `+ 3  =E4?=Eb4`: lines that went and came."""
    rows = list(unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0))[2:]
    return [f"{row[0]} {row[1:]}" for row in rows if row[0] in "+-"]


def unknown(olds: int) -> Corrected:
    """Of a correction of so many texts, nothing: one of its texts cannot be had."""
    return Corrected(numbers=((),) * olds, is_readable=False, is_known=False)


@lru_cache(maxsize=4)
def _version(text: str) -> ReadVersion:
    return read_version(from_text(text))


def _bars(changes: Sequence[Change], comparison: Comparison) -> list[int]:
    """The bars of the new version in which the changes are."""
    items = sorted({change.site.new_item for change in changes if change.site.new_item is not None})
    found = [comparison.after.solo.items[item] for item in items]
    return list(dict.fromkeys(number for item in found if isinstance(item, Bar | Like) for number in numbers_of(item)))
