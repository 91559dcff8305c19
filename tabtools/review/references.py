"""Lessons that refer to other solos, and what of that a correction touches."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator, Sequence
from enum import StrEnum
from pathlib import PurePosixPath
from typing import NamedTuple

from tabtools.model.solo import Bar, Like, numbers_of
from tabtools.review.change import Comparison
from tabtools.review.git import run
from tabtools.review.revisions import Repository
from tabtools.source import is_number

_GREP = (
    "--no-literal-pathspecs",
    "grep",
    "-n",
    "-z",
    "-I",
    "-F",
    "--full-name",
    "--no-column",
    "--no-color",
    "--no-recurse-submodules",
)
_LINK_TO_SOLO = re.compile(r"(?<![\w-])([\w-]+)\.(?:md|solo)(?:#b([0-9]{1,9})[0-9.]*)?")


class Reference(NamedTuple):
    """A line of a lesson that links to a solo, by its name without ending; to a bar of it, or None to the whole."""

    path: str
    line: int
    slug: str
    bar: int | None


class Fate(StrEnum):
    """What became of what a reference leads to."""

    GONE = "gone"
    RENAMED = "renamed"
    BAR_GONE = "bar gone"
    BAR_MOVED = "bar moved"
    BAR_CHANGED = "bar changed"


class Touched(NamedTuple):
    """A reference and what became of its end; `now` is the bar's number, or the solo's name, as it is now."""

    reference: Reference
    fate: Fate
    now: str = ""


def references_to(repository: Repository, commit: str | None, slugs: Iterable[str]) -> list[Reference]:
    """All references to these solos in lessons and pages, those in their own lessons aside.

    They are looked for in a commit, or (None) in the files as they are. Only the lines that name them are read. Raises
    `GitError`.
    """
    wanted = frozenset(slugs)
    if not wanted:
        return []
    names = "\n".join(f"{slug}.{ending}" for slug in sorted(wanted) for ending in ("md", "solo")).encode(
        "utf-8", "replace"
    )
    where = ["--untracked"] if commit is None else [commit]
    done = run([*_GREP, "-f", "-", *where, "--", "*.md"], repository.top, names, fine=(0, 1))
    found = []
    for row in done.stdout.decode("utf-8", "replace").split("\n"):
        parts = row.split("\x00")
        path = parts[0] if commit is None else parts[0].partition(":")[2]
        if len(parts) == 3 and is_number(parts[1]):
            found += [
                Reference(path, int(parts[1]), slug, int(bar) if bar else None)
                for slug, bar in _LINK_TO_SOLO.findall(parts[2])
                if slug in wanted and PurePosixPath(path).stem != slug
            ]
    return found


def touched(
    references: Sequence[Reference],
    slug: str,
    comparison: Comparison | None,
    name: str | None,
    unchanged: Container[str],
) -> Iterator[Touched]:
    """The references to one solo that a change touches. `name` is what the solo is called now, None where it is gone.

    `unchanged` are the lessons that did not change along: only these still speak of bars by their old numbers.
    """
    changed = _changed_bars(comparison) if comparison else frozenset()
    numbers = comparison.bar_numbers if comparison else {}
    there = frozenset(_bars(comparison)) if comparison else frozenset()
    for one in references:
        if one.slug != slug:
            continue
        if name != slug:
            yield Touched(one, Fate.GONE if name is None else Fate.RENAMED, name or "")
        elif one.bar is not None and one.path in unchanged and one.bar in there:
            now = numbers.get(one.bar)
            if now is None:
                yield Touched(one, Fate.BAR_GONE)
            elif now != one.bar:
                yield Touched(one, Fate.BAR_MOVED, str(now))
            elif now in changed:
                yield Touched(one, Fate.BAR_CHANGED)


def _bars(comparison: Comparison) -> Iterator[int]:
    """The bars of the old version."""
    for item in comparison.before.solo.items:
        if isinstance(item, Bar | Like):
            yield from numbers_of(item)


def _changed_bars(comparison: Comparison) -> frozenset[int]:
    """The bars whose music changed, by their new numbers."""
    items = {change.site.new_item for change in comparison.changes if change.is_music} - {None}
    pieces = [comparison.after.solo.items[index] for index in items if index is not None]
    return frozenset(number for item in pieces if isinstance(item, Bar | Like) for number in numbers_of(item))
