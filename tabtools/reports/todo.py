"""What is still to be done in solos, as text for people and JSON for programs."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Sequence
from pathlib import PurePath
from typing import Any, NamedTuple

from tabtools.checks import conflict_marker
from tabtools.problem import Problem, Severity
from tabtools.reports.open_rows import OpenRow, open_rows
from tabtools.reports.open_words import what_is_open, when, where
from tabtools.source import SourceText
from tabtools.study.open_things import OpenThing, next_to_do
from tabtools.study.unfinished import Unfinished
from tabtools.wording import bars_in_all, several

WIDTH = 80
MOST_LACKS = 5
"""Of a solo, as text; the linter has them all."""
_NAME_WIDTH, _WHERE_WIDTH, _WHEN_WIDTH = 30, 22, 8
_COLUMNS = ("bars", "heard", "placed", "certain", "explained", "open")
_HEADER_CHECKS = ("source-missing",)
"""Warnings that say what a header lacks."""


class Todo(NamedTuple):
    """A solo: its text, what it leaves open, and the linter's problems of it and of its lesson."""

    source: SourceText
    unfinished: Unfinished
    problems: tuple[Problem, ...] = ()

    @property
    def lacks(self) -> list[Problem]:
        """What keeps it from being published, and what its header should say."""
        return [one for one in self.problems if one.severity is Severity.ERROR or one.check in _HEADER_CHECKS]

    @property
    def is_done(self) -> bool:
        return not (self.unfinished.things or self.unfinished.is_draft or self.lacks)


def as_text(todos: Sequence[Todo]) -> str:
    """One solo with all that is open in it; of several first a table, then those in which something is."""
    if len(todos) == 1:
        return _details(todos[0])
    blocks = [_table(todos)] if todos else []
    blocks += [_details(todo) for todo in todos if not todo.is_done]
    return "\n\n".join([*blocks, summary(todos)])


def summary(todos: Sequence[Todo]) -> str:
    """One line: how much is open in how many solos."""
    things = sum(len(todo.unfinished.things) for todo in todos)
    if not things:
        return f"nothing is open in {several(len(todos), 'solo')}"
    solos = sum(bool(todo.unfinished.things) for todo in todos)
    return f"{several(things, 'open thing')} in {solos} of {several(len(todos), 'solo')}"


def as_json(todos: Sequence[Todo]) -> str:
    """A list of records, one a solo: how far it is, what is open in the order of the music, `next`, what it lacks.

    `at` and `until` are seconds of the recording, null where unknown; `next` is a place in `open`, null where that is
    empty. Lines and columns count from 1.
    """
    return json.dumps([_record(todo) for todo in todos], ensure_ascii=False, allow_nan=False, indent=2)


def _table(todos: Sequence[Todo]) -> str:
    rows = [f"{'':<{_NAME_WIDTH}}{_cells(_COLUMNS)}"]
    for todo in todos:
        progress = todo.unfinished.progress
        numbers = progress.bars, progress.heard, progress.placed, progress.certain, progress.explained
        rows.append(f"{_short_name(todo):<{_NAME_WIDTH}}{_cells([*numbers, len(todo.unfinished.things)])}")
    return "\n".join(rows)


def _cells(cells: Sequence[object]) -> str:
    return "".join(f"{cell:>{len(name) + 2}}" for cell, name in zip(map(str, cells), _COLUMNS, strict=True))


def _short_name(todo: Todo) -> str:
    name = PurePath(todo.source.path).stem
    draft = ", draft" if todo.unfinished.is_draft else ""
    room = _NAME_WIDTH - len(draft)
    return (name if len(name) <= room else f"{name[: room - 1]}…") + draft


def _details(todo: Todo) -> str:
    solo = todo.unfinished
    draft = ", a draft" if solo.is_draft else ""
    progress = solo.progress
    lines = [
        f"{solo.title or PurePath(solo.path).stem}{draft} ({solo.path})",
        f"{bars_in_all(progress.bars, progress.has_pickup)}: {progress.heard} heard, {progress.placed} placed, "
        f"{progress.certain} certain, {progress.explained} explained",
    ]
    upcoming = next_to_do(solo.things)
    if upcoming is None:
        lines.append("nothing is open")
    else:
        at = f", at {when(upcoming)}" if when(upcoming) else ""
        lines += _filled(f"next: {where(upcoming.place)}{at}: {what_is_open(upcoming)}", "      ")
        lines += ["", *(line for row in open_rows(solo.things, what_is_open) for line in _row(row))]
    if lacks := todo.lacks:
        lines += ["", _before_what(todo), *_lacking(todo, lacks)]
    elif solo.is_draft:
        lines += ["", "it is published as a draft until draft: yes is taken out of its header"]
    return "\n".join(lines)


def _before_what(todo: Todo) -> str:
    """What the problems of a solo keep it from; a draft may be published with all but the markers of a merge in it."""
    if todo.unfinished.is_draft and not any(one.check == conflict_marker.NAME for one in todo.lacks):
        return "it is published as a draft; before it can be published as more than that:"
    return "before it can be published:"


def _row(row: OpenRow) -> list[str]:
    head = f"  {where(row.place):<{_WHERE_WIDTH}}{when(row.thing):>{_WHEN_WIDTH}}  "
    return _filled(head + row.said, " " * len(head))


def _lacking(todo: Todo, lacks: Sequence[Problem]) -> Iterator[str]:
    for problem in lacks[:MOST_LACKS]:
        line = f"line {todo.source.locate(problem.span.start)[0]}"
        place = line if problem.path == todo.source.path else "lesson"
        yield from _filled(f"  {place}: {problem.message} [{problem.check}]", "    ")
    if len(lacks) > MOST_LACKS:
        yield f"  … and {several(len(lacks) - MOST_LACKS, 'more error')}; tabtools lint shows them"


def _filled(text: str, margin: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=margin, break_on_hyphens=False, drop_whitespace=True)


def _record(todo: Todo) -> dict[str, Any]:
    solo = todo.unfinished
    progress, upcoming = solo.progress, next_to_do(solo.things)
    return {
        "path": solo.path,
        "title": solo.title,
        "draft": solo.is_draft,
        "bars": progress.bars,
        "pickup": progress.has_pickup,
        "heard": progress.heard,
        "placed": progress.placed,
        "certain": progress.certain,
        "explained": progress.explained,
        "open": [_thing_record(thing, todo.source) for thing in solo.things],
        "next": None if upcoming is None else solo.things.index(upcoming),
        "lacks": [
            {"check": one.check, "severity": str(one.severity), "message": one.message, "advice": one.advice}
            for one in todo.lacks
        ],
    }


def _thing_record(thing: OpenThing, source: SourceText) -> dict[str, Any]:
    line, column = source.locate(thing.span.start)
    return {
        "kind": str(thing.kind),
        "address": str(thing.address),
        "place": str(thing.place),
        "line": line,
        "column": column,
        "at": _tenths(thing.starts),
        "until": _tenths(thing.ends),
        "message": what_is_open(thing),
    }


def _tenths(seconds: float | None) -> float | None:
    return None if seconds is None else round(seconds, 1)
