"""Who last changed each bar, as text and JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from tabtools.reports.changes import groups_of
from tabtools.reports.problems import Paint
from tabtools.review.blame import Blamed
from tabtools.review.git_log import Commit
from tabtools.review.history import History, Step

WIDTH = 80
SHORT = 8


def as_text(rows: Sequence[Blamed], style: Paint, width: int = WIDTH) -> str:
    """A line a bar: its number, the commit, its day, who wrote it and on whose word, and its subject, cut to fit."""
    bars = [_bars(row) for row in rows]
    column = max(map(len, bars), default=0)
    return "\n".join(_row(row, name.ljust(column), style, width) for row, name in zip(rows, bars, strict=True))


def _bars(row: Blamed) -> str:
    return f"bar {row.first}" if row.first == row.last else f"bars {row.first}-{row.last}"


def _row(row: Blamed, name: str, style: Paint, width: int) -> str:
    if row.step is None:
        return f"{style(name, 'place')}  {style('not committed yet', 'warning')}"
    commit = row.step.commit
    said = commit_in_words(commit, width - len(name) - 2, is_edge=row.step.is_edge)
    return f"{style(name, 'place')}  {style(commit.name[:SHORT], 'note')}{said.removeprefix(commit.name[:SHORT])}"


def commit_in_words(commit: Commit, width: int, is_edge: bool = False) -> str:
    """Its short name, its day, who wrote it and on whose word, and its subject, cut to fit."""
    people = commit.author + (f", with {' and '.join(commit.credits)}" if commit.credits else "")
    edge = "or earlier, " if is_edge else ""
    said = f"{commit.name[:SHORT]}  {commit.date[:10]}  {edge}{people}  {commit.subject}".rstrip()
    return said if len(said) <= width else f"{said[: width - 1]}…"


def what_changed(row: Blamed, history: History) -> str:
    """What the commit changed in the bar, indented lines; empty where it made the bar, or cannot be told."""
    step = row.step
    comparison = history.compared(step.parents[0], step.key) if step is not None and step.parents else None
    groups = [group for group in groups_of(comparison) if group.bar == row.then] if comparison else []
    return "".join(
        f"    {' '.join(filter(None, (told.place, told.text)))}\n" for group in groups for told in group.told
    )


def as_json(rows: Sequence[Blamed]) -> str:
    """A list with one object a bar, or for the bars of one repeat."""
    return json.dumps([_record(row) for row in rows], ensure_ascii=False, allow_nan=False, indent=2)


def _record(row: Blamed) -> dict[str, object]:
    return {"first": row.first, "last": row.last, **dict(_commit(row.step))}


def _commit(step: Step | None) -> Iterator[tuple[str, object]]:
    commit = step.commit if step else None
    for name in ("name", "author", "date", "subject"):
        yield "commit" if name == "name" else name, getattr(commit, name) if commit else None
    yield "credits", list(commit.credits) if commit else []
    yield "or_earlier", bool(step and step.is_edge)
