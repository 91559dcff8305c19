"""review and apply: corrections by others, looked at whole before they are taken."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import main, with_settings
from tabtools.cli.comparing import is_page
from tabtools.cli.exits import CLEAN, StopError, stopped
from tabtools.cli.output import FORCE, check_report, write_new
from tabtools.files import from_here, shown_name
from tabtools.settings import Settings

if TYPE_CHECKING:
    from tabtools.reports.review import Reviewed
    from tabtools.review.revisions import Repository

LONGEST_SUBJECT = 72


@main.command(statuses={CLEAN: "shown or written, whatever changed"})
@click.argument("revisions", metavar="BASE..HEAD")
@click.option("--to", type=click.Path(path_type=Path), help="Write it to this file.")
@FORCE
@click.option("--format", "form", type=click.Choice(["html", "markdown"]), help="How; html for a file, else markdown.")
@with_settings
def review(settings: Settings, revisions: str, to: Path | None, force: bool, form: str | None) -> None:
    """Show what commits change in all solos: drawn bars, or Markdown.

    BASE..HEAD compares two revisions, BASE...HEAD the second with where it
    left the first. The HTML page needs no network and no server; every changed
    bar stands there before and after, to be read and to be heard. The Markdown
    is for a comment on a pull request.

    \b
    Example:
      tabtools review main...correction --to review.html
      tabtools review main...correction --format markdown
    """
    from tabtools.review.git import GitError

    if to is not None:
        check_report(to, force)
    try:
        reviewed = _reviewed(revisions, settings)
    except GitError as fault:
        raise stopped(fault) from None
    if form == "html" or (form is None and is_page(to)):
        from tabtools.website.review_page import review_page

        text: str = review_page(reviewed)
    else:
        from tabtools.reports.review import review_markdown

        text = review_markdown(reviewed) + "\n"
    if to is None:
        click.echo(text, nl=False)
    else:
        write_new(to, text, force)
        click.echo(f"{shown_name(from_here(to))}: written")


def _reviewed(revisions: str, settings: Settings) -> Reviewed:
    """The solos that changed, and the names of what else did."""
    from tabtools.cli.differences import changes_of_repository
    from tabtools.reports.review import Reviewed
    from tabtools.review.revisions import repository_at
    from tabtools.source import LESSON_SUFFIX, SUFFIX, cut

    repository = repository_at(Path.cwd())
    found = repository.range_of(revisions)
    if found is None:
        what = "no revisions" if revisions in ("..", "...") else "no two revisions"
        raise StopError(f"“{cut(revisions)}” names {what}; write BASE..HEAD, like main..correction")
    old, new = found
    within = folder_of(repository, settings)
    files = changes_of_repository(repository, old, new, [within] if within else [], settings.profile)
    names = [pair.new or pair.old or "" for pair in repository.changed(old, new)]
    others = [name for name in names if not (_is_within(name, within) and name.endswith((SUFFIX, LESSON_SUFFIX)))]
    return Reviewed(revisions, tuple(file for file in files if file.is_anything), tuple(sorted(others)))


def folder_of(repository: Repository, settings: Settings) -> str:
    """The folder of the solos from the top of the repository; empty where it is that, or lies elsewhere."""
    folder, top = settings.folder.resolve(), repository.top.resolve()
    found = folder.relative_to(top).as_posix() if folder.is_relative_to(top) else "."
    return "" if found == "." else found


def _is_within(name: str, folder: str) -> bool:
    return not folder or name.startswith(f"{folder}/")
