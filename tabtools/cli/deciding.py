"""conflicts: what a merge left to be decided, shown as music and taken place by place."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import main, styled
from tabtools.cli.exits import CLEAN, FINDINGS, StopError, stopped
from tabtools.cli.output import unwritten, write_over
from tabtools.writing import ChangedError, holds

if TYPE_CHECKING:
    from tabtools.cli.undecided import Undecided
    from tabtools.reports.conflicts import Whose
    from tabtools.review.conflicts.markers import Side
    from tabtools.review.conflicts.solo import ConflictedSolo, LeftByMerge, OpenConflict
    from tabtools.review.conflicts.take import Decision
    from tabtools.review.conflicts.who import ChangesOfSide
    from tabtools.review.git_log import Commit
    from tabtools.source import SourceText


@main.group(invoke_without_command=True)
@click.pass_context
def conflicts(context: click.Context) -> None:
    """Show what a merge left to be decided, as music, and decide it.

    Asked for nothing more, it shows what is undecided in all solos and
    lessons of the repository.

    \b
    Example:
      tabtools conflicts
      tabtools conflicts take theirs transcriptions/dusk.solo 12 tempo
    """
    if context.invoked_subcommand is None:
        context.invoke(show, files=())


@conflicts.command(statuses={CLEAN: "nothing is left to decide", FINDINGS: "something is"})
@click.argument("files", nargs=-1, type=click.Path(path_type=Path))
def show(files: tuple[Path, ...]) -> None:
    """Show what is undecided: what was there, and what both sides have.

    Bars are shown as tab with degrees, with whose change it is and why; of a
    lesson the paragraphs of both sides are shown, numbered. FILES are solos
    and lessons; without any it is all that git holds for undecided.

    \b
    Example:
      tabtools conflicts show transcriptions/dusk.solo
    """
    from tabtools.cli.undecided import undecided
    from tabtools.review.conflicts.markers import MarkersError
    from tabtools.review.git import GitError

    told: list[str] = []
    count = 0
    for one in undecided(files):
        try:
            text, places = _told(one)
        except MarkersError as fault:
            raise _by_hand(one.source.path, fault) from None
        except GitError as fault:
            raise stopped(fault) from None
        told.append(text)
        count += places
    click.echo("\n\n".join(told) or "nothing is in conflict here")
    sys.exit(FINDINGS if count else CLEAN)


@conflicts.command(statuses={CLEAN: "decided"})
@click.argument("side", type=click.Choice(["ours", "theirs", "base"]))
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("what", nargs=-1, required=True)
def take(side: Side, file: Path, what: tuple[str, ...]) -> None:
    """Decide places of a file for one side, or for what was there before.

    WHAT are bars by their numbers, fields and other parts by their names,
    places of a lesson by the numbers that tabtools conflicts gives them.
    Nothing else in the file is touched, nor what was changed by hand between
    the markers since the merge.

    \b
    Example:
      tabtools conflicts take theirs transcriptions/dusk.solo 12 13
      tabtools conflicts take ours transcriptions/dusk.md 1
    """
    from tabtools.cli.undecided import undecided
    from tabtools.reports.conflicts import left_in_words
    from tabtools.review.conflicts.markers import MarkersError
    from tabtools.review.conflicts.take import TakeError, chosen, taken
    from tabtools.review.git import GitError

    (one,) = undecided([file])
    path = one.source.path
    data = _bytes(one.source)
    try:
        decisions, left = _decisions(one)
        if not decisions:
            raise StopError(f"{path}: nothing is left to decide")
        wanted = chosen(decisions, what)
        text = taken(data, [place for decision in wanted for place in decision.places], side, left)
    except MarkersError as fault:
        raise _by_hand(path, fault) from None
    except TakeError as fault:
        raise StopError(f"{path}: {fault}") from None
    except GitError as fault:
        raise stopped(fault) from None
    write_over(Path(path), text, partial(holds, Path(path), data))
    for decision in wanted:
        click.echo(f"{decision.title}: {side}")
    click.echo(left_in_words(path, len(decisions) - len(wanted)))


def _by_hand(path: str, fault: Exception) -> StopError:
    return StopError(f"{path}: {fault}; decide there by hand, and delete them")


def _bytes(source: SourceText) -> bytes:
    """The file that was read, line by line what was read."""
    path = Path(source.path)
    try:
        data = path.read_bytes()
    except OSError as fault:
        raise unwritten(path, fault) from None
    rows = data.decode("utf-8-sig", "replace").replace("\r\n", "\n").removesuffix("\n").split("\n")
    if "\r" in "".join(rows):
        raise StopError(f"{source.path}: some lines end in a carriage return alone; run tabtools format")
    if rows != (source.lines() or [""]):
        raise unwritten(path, ChangedError())
    return data


def _told(one: Undecided) -> tuple[str, int]:
    """What is undecided in a file, and how many places."""
    from tabtools.reports import conflicts as report

    path = one.source.path
    if one.stages is not None and one.merge is not None and one.stages.is_deleted:
        return report.deleted_in_words(path, one.merge, by_ours=one.stages.ours is None), 1
    if one.is_lesson:
        from tabtools.review.conflicts.lesson import conflicts_of_lesson

        places = conflicts_of_lesson(one.source, one.versions())
        if places:
            whose = _whose([side.commit_of((), None) for side in one.sides()])
            return report.of_lesson(path, places, whose, one.merge, styled), len(places)
    else:
        from tabtools.review.conflicts.solo import conflicted_solo

        solo = conflicted_solo(one.source, one.versions())
        if solo.conflicts:
            sides = one.sides()
            told = [report.ToldConflict(conflict, _whose_parts(sides, solo, conflict)) for conflict in solo.conflicts]
            return report.of_solo(solo, told, one.merge, styled), len(told)
    return (report.left_in_words(path, 0) if one.stages else f"{path}: nothing is in conflict"), 0


def _whose(commits: list[Commit | None]) -> Whose:
    return (commits[0], commits[1]) if commits else (None, None)


def _whose_parts(sides: Sequence[ChangesOfSide], solo: ConflictedSolo, conflict: OpenConflict) -> Whose:
    read = (conflict.ours, solo.ours), (conflict.theirs, solo.theirs)
    return _whose([side.commit_of(*own) for side, own in zip(sides, read, strict=False)])


def _decisions(one: Undecided) -> tuple[list[Decision], LeftByMerge]:
    """What is to be decided in a file, and what the merge left there."""
    from tabtools.review.conflicts.take import decisions_of_lesson, decisions_of_solo

    if one.is_lesson:
        from tabtools.review.conflicts.lesson import conflicts_of_lesson
        from tabtools.review.conflicts.solo import LeftByMerge

        return decisions_of_lesson(conflicts_of_lesson(one.source, one.versions())), LeftByMerge({}, None)
    from tabtools.review.conflicts.solo import conflicted_solo

    solo = conflicted_solo(one.source, one.versions())
    return decisions_of_solo(solo.conflicts), solo.left
