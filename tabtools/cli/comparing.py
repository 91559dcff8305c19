"""diff: corrections as music."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import main, styled, with_settings
from tabtools.cli.exits import CLEAN, Command, stopped
from tabtools.cli.output import FORCE, check_report, write_new
from tabtools.files import from_here, shown_name
from tabtools.settings import Settings

if TYPE_CHECKING:
    from tabtools.reports.comparison import FileChange
    from tabtools.reports.problems import Paint

LAYOUT_ONLY, MUSIC = 1, 3
STATUSES = {CLEAN: "nothing changed", LAYOUT_ONLY: "only layout, comments or lessons", MUSIC: "music changed"}


class WithDashes(Command):
    """A command that is told where `--` stands among its words."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        at = args.index("--") if "--" in args else len(args)
        return super().parse_args(ctx, [*args[:at], *["--"][: len(args) - at], *args[at:]])


@main.command(cls=WithDashes, statuses=STATUSES)
@click.argument("what", nargs=-1, metavar="[OLD.solo NEW.solo | [REV [REV] | REV..REV] [--] [PATHS]]")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "markdown", "html"]),
    help="How to report; html for a file of that kind, else text.",
)
@click.option("--to", type=click.Path(path_type=Path), help="Write it to this file.")
@FORCE
@click.option("--name", default="", help="With two files: what to call them in the report.")
@with_settings
def diff(settings: Settings, what: tuple[str, ...], form: str | None, to: Path | None, force: bool, name: str) -> None:
    """Show what a correction changes, as music.

    Two solos are compared with each other. A revision of the repository, or
    nothing (the last commit), is compared with the files as they are; two
    revisions, or REV..REV, with each other (REV...REV: the second with where
    it left the first). PATHS leave out all but these; -- says where they
    begin. Lessons are read along with their solos. The HTML page draws every
    changed bar before and after, to be read and to be heard, and needs no
    network and no server.

    \b
    Example:
      tabtools diff                            what I have not committed yet
      tabtools diff main transcriptions/dusk.solo
      tabtools diff main..correction
      tabtools diff before.solo after.solo --format markdown
      tabtools diff --to changes.html
    """
    from tabtools.review.git import GitError

    if to is not None:
        check_report(to, force)
    try:
        files = _changes(what, name, settings)
    except GitError as fault:
        raise stopped(fault) from None
    files = [file for file in files if file.is_anything]
    form = form or ("html" if is_page(to) else "text")
    if to is None:
        click.echo(_report(files, form, what, styled))
    else:
        write_new(to, f"{_report(files, form, what, lambda text, _: text)}\n", force)
        click.echo(f"{shown_name(from_here(to))}: written")
    sys.exit(MUSIC if any(file.is_music for file in files) else LAYOUT_ONLY if files else CLEAN)


def is_page(to: Path | None) -> bool:
    """Whether what is written there is an HTML page, by its name."""
    return to is not None and to.suffix.lower() in (".html", ".htm")


def _report(files: Sequence[FileChange], form: str, what: tuple[str, ...], style: Paint) -> str:
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


def _changes(words: tuple[str, ...], name: str, settings: Settings) -> list[FileChange]:
    from tabtools.cli.differences import change_of_files, changes_of_repository
    from tabtools.cli.what_to_compare import TwoFiles, path_within, what_to_compare

    asked = what_to_compare(words)
    if isinstance(asked, TwoFiles):
        return [change_of_files(asked.old, asked.new, name, settings.profile)]
    repository, old, new, paths = asked
    if not paths and settings.folder.is_dir():
        paths = (path_within(repository, settings.folder),)
    return changes_of_repository(repository, old, new, [path for path in paths if path != "."], settings.profile)
