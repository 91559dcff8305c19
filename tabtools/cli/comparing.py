"""diff: corrections as music."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import CLEAN, Stop, main, styled, write
from tabtools.files import from_here, shown_name
from tabtools.settings import Settings

if TYPE_CHECKING:
    from tabtools.reports.comparison import FileChange, Style
    from tabtools.review.revisions import Repository

LAYOUT_ONLY, MUSIC = 1, 3


@main.command()
@click.argument("what", nargs=-1, metavar="[OLD NEW | REV..REV [PATHS] | PATHS]")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "markdown", "html"]),
    help="How to report; html for a file of that kind, else text.",
)
@click.option("--to", type=click.Path(path_type=Path, dir_okay=False), help="Write it to this file.")
@click.option("--name", default="", help="With two files: what to call them in the report.")
@click.pass_obj
def diff(settings: Settings, what: tuple[str, ...], form: str | None, to: Path | None, name: str) -> None:
    """Show what a correction changes, as music.

    Two solos are compared with each other. REV..REV compares two revisions of
    the repository (REV...REV: the second with where it left the first); PATHS
    alone, or nothing, the files as they are with the last commit. Lessons are
    read along with their solos. The HTML page draws every changed bar before
    and after, to be read and to be heard, and needs no network and no server.

    Exit status: 0 nothing changed, 1 only layout, comments or lessons,
    3 music changed, 2 could not run.

    \b
    Example:
      tabtools diff                            what I have not committed yet
      tabtools diff main..correction
      tabtools diff before.solo after.solo --format markdown
      tabtools diff --to changes.html
    """
    from tabtools.review.git import GitError, NoRepository

    try:
        files = _changes(what, name, settings)
    except NoRepository as fault:
        raise Stop(f"{fault.message}; name two files to compare") from None
    except GitError as fault:
        raise Stop(f"{fault.message}; {fault.advice}" if fault.advice else fault.message) from None
    files = [file for file in files if file.is_anything]
    form = form or ("html" if is_page(to) else "text")
    if to is None:
        click.echo(_report(files, form, what, styled))
    else:
        write(to, f"{_report(files, form, what, lambda text, _: text)}\n")
        click.echo(f"{shown_name(from_here(to))}: written")
    sys.exit(MUSIC if any(file.is_music for file in files) else LAYOUT_ONLY if files else CLEAN)


def is_page(to: Path | None) -> bool:
    """Whether what is written there is an HTML page, by its name."""
    return to is not None and to.suffix.lower() in (".html", ".htm")


def _report(files: Sequence[FileChange], form: str, what: tuple[str, ...], style: Style) -> str:
    from tabtools.reports import comparison as report

    if form == "json":
        return report.as_json(files)
    if form == "markdown":
        return report.as_markdown(files) or "Nothing changed."
    if form == "html":
        from tabtools.reports.review import Reviewed
        from tabtools.website.review_page import review_page

        asked = " ".join(what) or "since the last commit"
        return review_page(Reviewed(asked, tuple(files)), f"What changed: {asked}").rstrip("\n")
    return report.as_text(files, style) or "nothing changed"


def _changes(what: tuple[str, ...], name: str, settings: Settings) -> list[FileChange]:
    from tabtools.cli.differences import change_of_files, changes_of_repository
    from tabtools.review.revisions import repository_at

    profile = settings.profile
    if len(what) == 2 and ".." not in what[0] and all(_is_one_file(one) for one in what):
        return [change_of_files(Path(what[0]), Path(what[1]), name, profile)]
    repository = repository_at(Path.cwd())
    old, new, paths = _range(repository, what)
    if not paths and settings.folder.is_dir():
        paths = [str(settings.folder)]
    return changes_of_repository(repository, old, new, _within(repository, paths), profile)


def _is_one_file(name: str) -> bool:
    path = Path(name)
    return path.exists() and not path.is_dir()


def _range(repository: Repository, what: tuple[str, ...]) -> tuple[str | None, str | None, list[str]]:
    """The commits to compare (None: nothing yet, None: the files as they are) and the paths that are left."""
    if what and ".." in what[0] and not Path(what[0]).exists():
        first, dots, second = what[0].partition("..." if "..." in what[0] else "..")
        old, new = (repository.resolve(side or "HEAD") for side in (first, second))
        return (repository.merge_base(old, new) if dots == "..." else old), new, list(what[1:])
    return (repository.resolve("HEAD") if repository.has_commits() else None), None, list(what)


def _within(repository: Repository, paths: list[str]) -> list[str]:
    """Paths from the top of the repository, whose folder they may not leave."""
    found = []
    for path in paths:
        whole = Path(os.path.normpath(Path.cwd().resolve() / path))
        if not whole.is_relative_to(repository.top):
            raise Stop(f"{shown_name(Path(path))} lies outside this repository; name two files to compare")
        found.append(whole.relative_to(repository.top).as_posix())
    return [] if "." in found else found
