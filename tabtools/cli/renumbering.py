"""bars insert, remove, move."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from tabtools.cli.base import main, with_settings
from tabtools.cli.exits import CLEAN, FINDINGS, StopError, Whole
from tabtools.cli.output import difference, write_all_over
from tabtools.cli.showing import one_solo
from tabtools.files import Unread, from_here, lesson_path, markdown_files, read_all
from tabtools.settings import Settings
from tabtools.wording import several

if TYPE_CHECKING:
    from tabtools.renumbering.plan import Plan
    from tabtools.source import SourceText

MOST_NEW = 1_000
MAX_BAR = 999_999
STATUSES = {CLEAN: "done", FINDINGS: "done, and something is named that could not be carried along"}

FILE = click.argument("file", type=click.Path(path_type=Path))
BEFORE = click.option("--before", type=Whole(0, MAX_BAR), metavar="BAR", help="Put them before this bar.")
AFTER = click.option("--after", type=Whole(0, MAX_BAR), metavar="BAR", help="Put them behind this bar.")
DIFF = click.option("--diff", is_flag=True, help="Write nothing; show what would change.")


@main.group()
def bars() -> None:
    """Put bars in, take them out, move them; all that names bars goes along.

    Repeats and passages of the solo, claims and links of its lesson, links of
    other lessons to it: each has the new numbers afterwards. What cannot be
    carried along is named, bars that a text names in plain words among it.

    \b
    Example:
      tabtools bars insert dusk.solo --before 13
      tabtools bars remove dusk.solo 5-6
      tabtools bars move dusk.solo 9-10 --before 5
    """


@bars.command(statuses=STATUSES)
@FILE
@BEFORE
@AFTER
@click.option("--count", type=Whole(1, MOST_NEW), default=1, show_default=True, help="How many.")
@DIFF
@with_settings
def insert(settings: Settings, file: Path, before: int | None, after: int | None, count: int, diff: bool) -> None:
    """Put new bars in, of which nothing is heard yet.

    They are written as ??, so that tabtools todo lists them. A section that
    begins with the bar they come before begins with them.

    \b
    Example:
      tabtools bars insert dusk.solo --before 13
      tabtools bars insert dusk.solo --after 12 --count 2
    """
    from tabtools.renumbering.plan import put_in

    side, beside = _beside(before, after)
    _change(settings, file, diff, lambda there: put_in(there, count, side, beside))


@bars.command(statuses=STATUSES)
@FILE
@click.argument("wanted", metavar="BARS")
@DIFF
@with_settings
def remove(settings: Settings, file: Path, wanted: str, diff: bool) -> None:
    """Take bars out. Bars that repeat one of them are written out.

    Claims about bars that are gone stay as they are, and are named.

    \b
    Example:
      tabtools bars remove dusk.solo 5-6
    """
    from tabtools.renumbering.plan import take_out

    taken = _bars_named(wanted)
    _change(settings, file, diff, lambda there: take_out(there, taken))


@bars.command(statuses=STATUSES)
@FILE
@click.argument("wanted", metavar="BARS")
@BEFORE
@AFTER
@DIFF
@with_settings
def move(settings: Settings, file: Path, wanted: str, before: int | None, after: int | None, diff: bool) -> None:
    """Move bars to another place.

    Chords, meter and tempo that held for a bar are written on its line where
    others would hold now.

    \b
    Example:
      tabtools bars move dusk.solo 9-10 --before 5
    """
    from tabtools.renumbering.plan import move as moved

    taken = _bars_named(wanted)
    side, beside = _beside(before, after)
    _change(settings, file, diff, lambda there: moved(there, taken, side, beside))


def _beside(before: int | None, after: int | None) -> tuple[Literal["before", "after"], int]:
    if before is not None and after is None:
        return "before", before
    if after is not None and before is None:
        return "after", after
    raise StopError("say where: --before a bar or --after one" + (", not both" if before is not None else ""))


def _bars_named(wanted: str) -> range:
    match = re.fullmatch(r"([0-9]{1,6})(?:-([0-9]{1,6}))?", wanted)
    if match is None:
        raise StopError(f"“{wanted}” names no bars; write 5 or 5-8")
    return range(int(match[1]), int(match[2] or match[1]) + 1)


def _change(settings: Settings, file: Path, diff: bool, planned: Callable[[list[int]], Plan]) -> None:
    """Do what is planned to a solo and to all lessons that speak of it, or show it."""
    from tabtools.notation.write import FormatError, canonical, formatted
    from tabtools.renumbering.carried import carried_lesson, words_of_solo
    from tabtools.renumbering.plan import PlanError
    from tabtools.renumbering.rearranged import bars_of, rearranged
    from tabtools.reports.renumbering import LessonCarried, done_in_words, left_in_words
    from tabtools.source import from_text

    if str(file) == "-":
        raise StopError("name a file; bars of standard input cannot be changed")
    source, timeline = one_solo(file, "", settings, is_whole=True)
    try:
        plan = planned(bars_of(timeline.solo))
        found = rearranged(timeline.solo, plan)
        text = formatted(from_text(canonical(found.solo), source.path))
    except PlanError as fault:
        raise StopError(str(fault)) from None
    except FormatError as fault:
        raise StopError(f"{fault.message}; {fault.advice}") from None
    changes: list[tuple[SourceText, str]] = [(source, text)]
    lessons = []
    for lesson in _lessons(settings, source.path):
        is_own = lesson.path == lesson_path(source.path)
        carried = carried_lesson(lesson, Path(source.path).stem, is_own, plan)
        lessons.append(LessonCarried(lesson.path, carried))
        if carried.text != lesson.text:
            changes.append((lesson, carried.text))
    if diff:
        click.echo("".join(difference(old, new, "renumbered") for old, new in changes), nl=False)
    else:
        write_all_over([(Path(old.path), new, old) for old, new in changes])
        click.echo(done_in_words(source.path, _done(plan), plan, lessons))
    left = left_in_words(source.path, plan, found, words_of_solo(timeline.solo, source, plan), lessons)
    if left:
        click.echo("\n".join(["", "to look at:", *(f"  {line}" for line in left)]))
    sys.exit(FINDINGS if left else CLEAN)


def _done(plan: Plan) -> str:
    """What was done to the bars, in words."""
    if plan.new:
        return f"{several(plan.new, 'bar')} put in, {_named(plan.made)}"
    which = _named(plan.taken)
    if plan.beside is None:
        return f"{which} taken out"
    now = [plan.numbers[bar] for bar in plan.taken if bar in plan.numbers]
    return f"{which} moved, {_named(range(now[0], now[-1] + 1))} now"


def _named(bars: range) -> str:
    return f"bar {bars[0]}" if len(bars) == 1 else f"bars {bars[0]}-{bars[-1]}"


def _lessons(settings: Settings, solo: str) -> Iterator[SourceText]:
    """All lessons that may speak of a solo: those in its folder and in the folder of the solos."""
    folders = [folder for folder in (Path(solo).parent, from_here(settings.folder)) if folder.is_dir()]
    for lesson in read_all(markdown_files(folders), folders):
        if isinstance(lesson, Unread):
            click.echo(f"{lesson.path}: not looked at: {lesson.error.message}", err=True)
        else:
            yield lesson
