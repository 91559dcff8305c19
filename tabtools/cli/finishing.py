"""todo."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import FEWEST_TO_KEEP, PATHS, STDIN_NAME, main, sources_of, watched, with_settings
from tabtools.cli.exits import CLEAN, FINDINGS, StopError
from tabtools.files import Unread, lesson_path
from tabtools.settings import Settings
from tabtools.source import SourceText

if TYPE_CHECKING:
    from tabtools.problem import Problem


@main.command(statuses={CLEAN: "shown, whatever is open", FINDINGS: "a file is no text and is left out"})
@PATHS
@STDIN_NAME
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to report.")
@with_settings
def todo(settings: Settings, paths: tuple[Path, ...], stdin_name: str, form: str) -> None:
    """Show what solos leave open, and what to listen to next.

    Of a bar is said whether it is heard (every note has a pitch, and no ??
    is left), placed (every note has a string and a fret), certain (no ?
    stands in it, of a note, a rhythm or a chord) and explained (the lesson
    makes a claim about it, links to it, or names a passage it is in).

    Times are those of the recording, reckoned from the at marks of the
    bars. What comes next is the first pitch or stretch that is not heard,
    then rhythms, readings, chords, and at last places. PATHS are files or
    folders; without any, all solos are shown.

    \b
    Example:
      tabtools todo transcriptions/dusk.solo
    """
    from tabtools.cache.results import KEEPING_NOTHING, users_keeping
    from tabtools.checks.choice import UnknownCheckError, chosen
    from tabtools.linting import lint_many
    from tabtools.reports import todo as report
    from tabtools.study.unfinished import all_unfinished

    try:
        checks = chosen(settings.select, settings.ignore)
    except UnknownCheckError as error:
        raise StopError(str(error)) from None
    found = sources_of(paths, stdin_name, settings)
    keeping = users_keeping() if len(found) >= FEWEST_TO_KEEP else KEEPING_NOTHING
    linted = lint_many(found, checks, settings.profile, watched(len(found), "checking"), keeping)
    problems: dict[str, list[Problem]] = {}
    for problem in linted.problems:
        problems.setdefault(problem.path, []).append(problem)
    sources = [source for source in found if isinstance(source, SourceText)]
    solos = all_unfinished([(source, linted.lessons.get(source.path)) for source in sources], keeping)
    todos = [
        report.Todo(source, solo, (*problems.get(source.path, ()), *problems.get(lesson_path(source.path), ())))
        for source, solo in zip(sources, solos, strict=True)
    ]
    click.echo(report.as_json(todos) if form == "json" else report.as_text(todos))
    unread = [one for one in found if isinstance(one, Unread)]
    for one in unread:
        click.echo(f"tabtools: {one.path}: {one.error.message}; {one.error.advice}", err=True)
    sys.exit(FINDINGS if unread else CLEAN)
