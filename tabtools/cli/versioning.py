"""git install, check, uninstall, and what git itself calls; blame."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import main, solo_of, styled
from tabtools.cli.exits import CLEAN, COULD_NOT_RUN, FINDINGS, StopError, Whole, stopped
from tabtools.cli.output import unwritten
from tabtools.files import Unread, read_all, shown_name
from tabtools.review.driver_status import CONFLICTS, GAVE_UP
from tabtools.writing import ChangedError, holds, write_atomically

if TYPE_CHECKING:
    from tabtools.review.history import History
    from tabtools.review.merging.text import MergedText
    from tabtools.review.revisions import Repository

TIMEOUT = 60
MAX_BAR = 999_999


@main.group()
def git() -> None:
    """Teach git about solos, in this clone.

    \b
    Example:
      tabtools git install
      tabtools git check
    """


@git.command(statuses={CLEAN: "set up"})
def install() -> None:
    """Set this clone up: diffs, hunk headers, difftool, merges.

    Nothing that is set already is touched. The file .gitattributes is for
    everybody: commit it. Settings of git are for this clone alone; who has
    not set them merges and compares solos line by line.

    \b
    Example:
      tabtools git install && git add .gitattributes
    """
    from tabtools.review import setup
    from tabtools.review.git import GitError

    try:
        done = setup.install(_repository())
    except GitError as fault:
        raise stopped(fault) from None
    except (OSError, ChangedError) as fault:
        raise unwritten(Path(setup.ATTRIBUTES_FILE), fault) from None
    for name in done.settings:
        click.echo(f"{name}: set")
    if done.attributes:
        click.echo(f"{setup.ATTRIBUTES_FILE}: written; commit it, so that it holds for everybody")
    if not done.settings and not done.attributes:
        click.echo("everything is set up already")


@git.command(statuses={CLEAN: "it does", FINDINGS: "something does not work; it is said how to mend it"})
def check() -> None:
    """Say whether git shows and merges solos as music in this clone.

    Tries a merge.

    \b
    Example:
      tabtools git check
    """
    from tabtools.review import setup
    from tabtools.review.git import GitError

    try:
        found = list(setup.troubles(_repository()))
    except GitError as fault:
        raise stopped(fault) from None
    for trouble in found:
        click.echo(f"{trouble.message}\n    {trouble.advice}")
    if not found:
        click.echo("git shows and merges solos as music here")
    sys.exit(FINDINGS if found else CLEAN)


@git.command(statuses={CLEAN: "taken back"})
def uninstall() -> None:
    """Take the settings of this clone back; .gitattributes stays.

    \b
    Example:
      tabtools git uninstall
    """
    from tabtools.review import setup
    from tabtools.review.git import GitError

    try:
        removed = setup.uninstall(_repository())
    except GitError as fault:
        raise stopped(fault) from None
    for name in removed:
        click.echo(f"{name}: removed")
    click.echo(f"{setup.ATTRIBUTES_FILE} is left as it is: it does no harm, and others may rely on it")


def _repository() -> Repository:
    from tabtools.review.revisions import repository_at

    return repository_at(Path.cwd())


# ---- who changed what


@main.command(
    name="blame",
    statuses={CLEAN: "shown", COULD_NOT_RUN: "could not run, as where no git knows the file's history"},
)
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("bar", required=False, type=Whole(0, MAX_BAR))
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to report.")
def blame_(file: Path, bar: int | None, form: str) -> None:
    """Say who last changed the music of each bar, and why.

    Comments, layout and new numbers do not count. BAR shows one bar, with
    what changed in it then.

    \b
    Example:
      tabtools blame transcriptions/dusk.solo 12
    """
    from tabtools.reports import blame as report
    from tabtools.review.blame import blame
    from tabtools.review.change import read_version
    from tabtools.review.git import GitError
    from tabtools.review.missing_history import why_missing

    file = solo_of(file)
    (source,) = read_all([file])
    if isinstance(source, Unread):
        raise StopError(f"{source.path}: {source.error.message}; {source.error.advice}")
    version = read_version(source)
    if not version.timeline.bars:
        raise StopError(f"{source.path} has no bars")
    if bar is not None and bar not in version.timeline.bar_numbers:
        raise StopError(f"{source.path} has no bar {bar}")
    try:
        history = _history(file)
    except GitError as fault:
        fault = why_missing(file.resolve().parent, fault) or fault
        raise StopError(f"nothing is known of who changed what: {stopped(fault).message}") from None
    rows = [row for row in blame(history, version) if bar is None or row.first <= bar <= row.last]
    if form == "json":
        click.echo(report.as_json(rows))
    else:
        click.echo(report.as_text(rows, styled))
        if bar is not None:
            click.echo(report.what_changed(rows[0], history), nl=False)
    if version.unreadable_line is not None:
        click.echo(f"{source.path}:{version.unreadable_line}: this line cannot be read as music", err=True)


def _history(file: Path) -> History:
    from tabtools.review.git import GitError, NoCommits
    from tabtools.review.history import history_of
    from tabtools.review.revisions import repository_at

    place = file.resolve()
    repository = repository_at(place.parent)
    top = repository.top.resolve()
    if not place.is_relative_to(top):
        raise GitError(f"{shown_name(file)} lies outside of the repository's folder {shown_name(top)}")
    if not repository.has_commits():
        raise NoCommits("nothing is committed here yet", "git commit keeps the first version")
    return history_of(repository, place.relative_to(top).as_posix())


# ---- called by git


@git.command(hidden=True, statuses={CLEAN: "printed", GAVE_UP: "no text"})
@click.argument("file", type=click.Path(path_type=Path))
def textconv(file: Path) -> None:
    """Print a solo in canonical form, for git diff; the text itself where that cannot be."""
    from tabtools.notation.write import FormatError, formatted

    (source,) = read_all([file])
    if isinstance(source, Unread):
        sys.exit(GAVE_UP)
    try:
        text = formatted(source)
    except FormatError:
        text = source.text
    sys.stdout.buffer.write(text.encode("utf-8"))


@git.command(
    name="merge-driver",
    hidden=True,
    statuses={CLEAN: "merged", CONFLICTS: "conflicts, between markers", GAVE_UP: "nothing written"},
)
@click.argument("base", type=click.Path(path_type=Path))
@click.argument("ours", type=click.Path(path_type=Path))
@click.argument("theirs", type=click.Path(path_type=Path))
@click.argument("marker_size", type=Whole(1, 200))
@click.argument("name")
@click.option("--timeout", default=TIMEOUT, show_default=True, help="Seconds after which to give up.")
def merge_driver(base: Path, ours: Path, theirs: Path, marker_size: int, name: str, timeout: float) -> None:
    """Merge two corrections of BASE into OURS. Any status but 0 (clean) and 10 (conflicts): nothing was written."""
    from tabtools.review.merging.text import MARKER_SIZE, MarkerLabels, MergeError, merge_texts
    from tabtools.source import visible

    with _ended_after(timeout):
        try:
            texts = base.read_bytes(), ours.read_bytes(), theirs.read_bytes()
            merged = merge_texts(*texts, marker_size, MarkerLabels(base="base" if _shows_base() else None))
            write_atomically(ours, merged.text, is_still=partial(holds, ours, texts[1]))
        except (MergeError, ChangedError) as reason:
            click.echo(f"tabtools: {visible(name)} is merged line by line: {visible(str(reason))}", err=True)
            sys.exit(GAVE_UP)
        except Exception as error:
            click.echo(f"tabtools: {visible(name)} is merged line by line: {visible(repr(error))}", err=True)
            sys.exit(GAVE_UP)
        if marker_size == MARKER_SIZE and (said := _said_of_merge(merged, visible(name))):
            click.echo(said, err=True)
    sys.exit(CONFLICTS if merged.conflicts else CLEAN)


def _said_of_merge(merged: MergedText, name: str) -> str:
    """What came of a merge. Longer markers are those of merges that git makes for itself on the way."""
    from tabtools.reports.conflicts import merged_in_words
    from tabtools.review.git import GitError, output

    try:
        ours = output(["rev-parse", "--short=8", "HEAD"], Path.cwd()).strip()
    except GitError:
        ours = "HEAD"
    return merged_in_words(name, merged.bars, merged.conflicts, ours)


@contextmanager
def _ended_after(seconds: float) -> Iterator[None]:
    """End this process from outside of Python, whatever it is busy with; where that is not known, a thread does."""
    if hasattr(signal, "setitimer"):
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_REAL, seconds)
        try:
            yield
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
        return
    import os
    import threading

    timer = threading.Timer(seconds, os._exit, (GAVE_UP,))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def _shows_base() -> bool:
    """Whether the user wants to see the base in conflicts."""
    from tabtools.review.git import GitError, run

    try:
        style = run(["config", "--get", "merge.conflictStyle"], Path.cwd(), fine=(0, 1)).stdout
    except GitError:
        return False
    return style.strip() in (b"diff3", b"zdiff3")
