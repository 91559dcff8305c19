"""What a merge left to be decided, as music: what was there, what both sides have there, whose change it is and why."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import NamedTuple

from tabtools.model.solo import Bar, Field, numbers_of
from tabtools.reports.annotation import labelled_tab
from tabtools.reports.blame import commit_in_words
from tabtools.reports.problems import Paint
from tabtools.review.change import ReadVersion
from tabtools.review.conflicts.lesson import LessonConflict
from tabtools.review.conflicts.solo import ConflictedSolo, OpenConflict, Part
from tabtools.review.conflicts.stopped import StoppedMerge
from tabtools.review.git_log import Commit
from tabtools.review.writing import field_text, item_text
from tabtools.source import visible
from tabtools.wording import several

WIDTH = 80
NOTHING = "not there"
EDITED = "the lines between the markers were changed by hand since the merge; decide there"
Whose = tuple[Commit | None, Commit | None]
"""The commits of ours and of theirs."""


class ToldConflict(NamedTuple):
    """A conflict of a solo, and whose changes meet in it."""

    conflict: OpenConflict
    whose: Whose = (None, None)


def of_solo(
    solo: ConflictedSolo, told: Sequence[ToldConflict], merge: StoppedMerge | None, style: Paint, width: int = WIDTH
) -> str:
    """Bar by bar: the base, ours and theirs in plain tab with degrees, and the command that decides."""
    path = solo.source.path
    rows = [_head(path, len(told), style)]
    for one in told:
        rows += ["", *_conflict(solo, one, merge, style, width)]
    open_ones = [one.conflict.words for one in told if not one.conflict.is_edited]
    rows += _what_to_do(path, open_ones, "or theirs, or base" if solo.has_bases else "or theirs")
    return "\n".join(rows)


def of_lesson(
    path: str,
    conflicts: Sequence[LessonConflict],
    whose: Whose,
    merge: StoppedMerge | None,
    style: Paint,
    width: int = WIDTH,
) -> str:
    """The words of both sides, paragraph by paragraph, numbered."""
    rows = [_head(path, len(conflicts), style)]
    for number, one in enumerate(conflicts, 1):
        rows += ["", f"  {style(f'number {number}', 'place')}"]
        for side, words in enumerate((one.ours, one.theirs)):
            rows += _side(side, whose[side], merge, style, width)
            rows += [f"      {row}" for row in _wrapped(words, width - 6)]
        rows += [f"    {EDITED}"] * one.is_edited
    open_ones = [[str(number)] for number, one in enumerate(conflicts, 1) if not one.is_edited]
    rows += _what_to_do(path, open_ones, "or theirs")
    return "\n".join(rows)


def _wrapped(words: str, width: int) -> Iterator[str]:
    for row in visible(words.replace("\n", "\x1f")).split(visible("\x1f")) if words else [NOTHING]:
        yield from wrap(row, width, break_long_words=False, break_on_hyphens=False) or [""]


def _head(path: str, count: int, style: Paint) -> str:
    return f"{style(path, 'place')}: {several(count, 'place')} to decide"


def _conflict(
    solo: ConflictedSolo, told: ToldConflict, merge: StoppedMerge | None, style: Paint, width: int
) -> Iterator[str]:
    conflict = told.conflict
    yield f"  {style(conflict.title, 'place')}{conflict.where.removeprefix(conflict.title)}"
    if solo.base is not None:
        yield f"    {style('base', 'quiet')}"
        yield from _shown(solo.base, conflict.base, width)
    for side, (version, parts) in enumerate(((solo.ours, conflict.ours), (solo.theirs, conflict.theirs))):
        yield from _side(side, told.whose[side], merge, style, width)
        yield from _shown(version, parts, width)
    if conflict.is_edited:
        yield f"    {EDITED}"


def _side(side: int, commit: Commit | None, merge: StoppedMerge | None, style: Paint, width: int) -> Iterator[str]:
    """`ours, main: 1a2b3c4d  2026-03-01  Ida Marlow`, and below it why."""
    label = _label(side, merge)
    if commit is None:
        yield f"    {style(label, 'note')}"
        return
    yield f"    {style(label, 'note')}: {commit_in_words(commit._replace(subject=''), max(30, width - len(label) - 6))}"
    yield from (f"      {row}" for row in wrap(f"“{commit.subject}”", width - 6, max_lines=2, placeholder="…”"))


def _label(side: int, merge: StoppedMerge | None) -> str:
    """`ours, main`."""
    name = (merge.ours, merge.theirs)[side].name if merge else ""
    return ", ".join(filter(None, [("ours", "theirs")[side], name]))


def _shown(version: ReadVersion, parts: Sequence[Part], width: int) -> Iterator[str]:
    """Bars as tab, all else as it is written."""
    numbers = {number for part in parts if isinstance(part, Bar) for number in numbers_of(part)}
    for part in parts:
        if not isinstance(part, Bar):
            yield from _indented(field_text(part) if isinstance(part, Field) else item_text(part), width)
    bars = [bar for bar in version.timeline.bars if bar.number in numbers]
    if bars:
        yield from _indented(labelled_tab(version.timeline, bars, width=width - 6), width)
    elif not parts:
        yield f"      {NOTHING}"


def _indented(text: str, width: int) -> Iterator[str]:
    """Lines as they are, folded where they are too long."""
    for row in text.split("\n"):
        if len(row) > width - 6:
            yield from wrap(row, width, initial_indent=" " * 6, subsequent_indent=" " * 12, break_on_hyphens=False)
        else:
            yield f"      {row}".rstrip()


def _what_to_do(path: str, open_ones: Sequence[Sequence[str]], others: str) -> Iterator[str]:
    """How one of several is decided."""
    if open_ones:
        command = f"tabtools conflicts take ours {shlex.join([path, *open_ones[0]])}"
        yield from ("", f"  to decide {'one of them' if len(open_ones) > 1 else 'it'} ({others}):", f"  {command}")


def deleted_in_words(path: str, merge: StoppedMerge, by_ours: bool) -> str:
    """What is said of a file that one side deleted and the other changed."""
    deleted, changed = (0, 1) if by_ours else (1, 0)
    kept = f"git add {shlex.quote(path)} keeps it, git rm {shlex.quote(path)} lets it go"
    return f"{path}: deleted by {_label(deleted, merge)}; changed by {_label(changed, merge)}\n  {kept}"


def undecided_in_words(places: int, titles: Sequence[str] = ()) -> str:
    """What is said of a file of which nothing else can be told."""
    named = f" ({'; '.join(titles)})" if titles else ""
    return f"{several(places, 'place')} to decide{named}; tabtools conflicts shows both sides"


def merged_in_words(path: str, bars: int, undecided: int, ours: str) -> str:
    """What the merge driver says of a file: bars that both sides changed, places that it left; empty for none.

    `ours` is the commit that was merged into.
    """
    done = f"{several(bars, 'bar')} merged" if bars else ""
    if undecided:
        left = f"{several(undecided, 'place')} to decide"
        return f"{path}: {', '.join(filter(None, [done, left]))}; tabtools conflicts shows both sides"
    return f"{path}: {done}; to look at them: tabtools diff {shlex.join([ours, path])}" if done else ""


def left_in_words(path: str, left: int) -> str:
    """What is said after something was decided."""
    if left:
        return f"{path}: {several(left, 'place')} left to decide"
    return f"{path}: nothing is left to decide; git add {shlex.quote(path)}"
