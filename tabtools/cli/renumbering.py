"""bars insert, remove, move, renumber."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import main, with_settings
from tabtools.cli.exits import CLEAN, FINDINGS, StopError, Whole
from tabtools.cli.showing import bars_named
from tabtools.settings import Settings

if TYPE_CHECKING:
    from tabtools.renumbering.plan import Beside, Plan

MOST_NEW = 1_000
MAX_BAR = 999_999
STATUSES = {CLEAN: "done", FINDINGS: "done, and something is named that could not be carried along"}

FILE = click.argument("file", type=click.Path(path_type=Path))
BEFORE = click.option("--before", type=Whole(0, MAX_BAR), metavar="BAR", help="Put them before this bar.")
AFTER = click.option("--after", type=Whole(0, MAX_BAR), metavar="BAR", help="Put them behind this bar.")
WORDS = click.option("--words", is_flag=True, help="Change bars that texts name in plain words, too.")
DIFF = click.option("--diff", is_flag=True, help="Write nothing; show what would change.")


@main.group()
def bars() -> None:
    """Put bars in, take them out, move them; all that names bars goes along.

    Repeats and passages of the solo, claims and links of its lesson, links of
    other lessons to it: each has the new numbers afterwards. What cannot be
    carried along is named, and so are bars that texts name in plain words,
    unless --words has them changed too.

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
@WORDS
@DIFF
@with_settings
def insert(
    settings: Settings, file: Path, before: int | None, after: int | None, count: int, words: bool, diff: bool
) -> None:
    """Put new bars in, of which nothing is heard yet.

    They are written as ??, so that tabtools todo lists them. A section that
    begins with the bar they come before begins with them.

    \b
    Example:
      tabtools bars insert dusk.solo --before 13
      tabtools bars insert dusk.solo --after 12 --count 2
    """
    from tabtools.renumbering.plan import put_in

    spot = _spot(before, after)
    _change(settings, file, words, diff, lambda there: put_in(there, count, spot))


@bars.command(statuses=STATUSES)
@FILE
@click.argument("wanted", metavar="BARS")
@WORDS
@DIFF
@with_settings
def remove(settings: Settings, file: Path, wanted: str, words: bool, diff: bool) -> None:
    """Take bars out. Bars that repeat one of them are written out.

    Claims about bars that are gone stay as they are, and are named.

    \b
    Example:
      tabtools bars remove dusk.solo 5-6
    """
    from tabtools.renumbering.plan import take_out

    taken = bars_named(wanted)
    _change(settings, file, words, diff, lambda there: take_out(there, taken))


@bars.command(statuses=STATUSES)
@FILE
@click.argument("wanted", metavar="BARS")
@BEFORE
@AFTER
@WORDS
@DIFF
@with_settings
def move(
    settings: Settings, file: Path, wanted: str, before: int | None, after: int | None, words: bool, diff: bool
) -> None:
    """Move bars to another place.

    Chords, meter and tempo that held for a bar are written on its line where
    others would hold now.

    \b
    Example:
      tabtools bars move dusk.solo 9-10 --before 5
    """
    from tabtools.renumbering.plan import move as moved

    taken = bars_named(wanted)
    spot = _spot(before, after)
    _change(settings, file, words, diff, lambda there: moved(there, taken, spot))


@bars.command(statuses=STATUSES)
@FILE
@click.option("--since", metavar="COMMIT", default="HEAD", show_default=True, help="When the old numbers held.")
@WORDS
@DIFF
@with_settings
def renumber(settings: Settings, file: Path, since: str, words: bool, diff: bool) -> None:
    """Number the bars as they stand, after a change by hand.

    What was in the file at an earlier commit says which bar was which. Lines
    of solo and lessons that stand as they did then go along; those that were
    changed since are taken to be right.

    \b
    Example:
      tabtools bars renumber dusk.solo
    """
    from tabtools.cli.bars_changed import known_texts, read, work_on
    from tabtools.renumbering.by_hand import numbered_since, unchanged_lines
    from tabtools.renumbering.plan import PlanError
    from tabtools.reports.renumbering import numbered_in_words, still_old

    work = work_on(settings, file, words, diff)
    known = known_texts(since, [work.source, *work.lessons])
    before = known[work.source.path] if known else None
    old = None if before is None else read(before)
    try:
        found = numbered_since(old, work.solo)
    except PlanError as fault:
        raise StopError(str(fault)) from None
    if known is not None and before is not None:
        work.lines |= {one.path: unchanged_lines(known[one.path], one) for one in (work.source, *work.lessons)}
    after = numbered_since(old, work.solo_with_words(found.plan)).solo
    work.finish(after, found.plan, numbered_in_words(found, since), list(still_old(work.source.path, found)))


def _change(settings: Settings, file: Path, words: bool, diff: bool, planned: Callable[[list[int]], Plan]) -> None:
    """Do what is planned to the bars of a solo."""
    from tabtools.cli.bars_changed import work_on
    from tabtools.renumbering.plan import PlanError
    from tabtools.renumbering.rearranged import bars_of, rearranged
    from tabtools.reports.renumbering import done_in_words, left_in_solo

    work = work_on(settings, file, words, diff)
    try:
        plan = planned(bars_of(work.solo))
        found = rearranged(work.solo_with_words(plan), plan)
    except PlanError as fault:
        raise StopError(str(fault)) from None
    work.finish(found.solo, plan, done_in_words(plan), list(left_in_solo(work.source.path, plan, found)))


def _spot(before: int | None, after: int | None) -> Beside:
    from tabtools.renumbering.plan import Beside

    if before is not None and after is None:
        return Beside("before", before)
    if after is not None and before is None:
        return Beside("after", after)
    raise StopError("say where: --before a bar or --after one" + (", not both" if before is not None else ""))
