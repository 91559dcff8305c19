"""review and apply: corrections by others, looked at whole before they are taken."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import Stop, from_here, main, write
from tabtools.files import shown_name
from tabtools.settings import Settings

if TYPE_CHECKING:
    from tabtools.reports.review import Reviewed
    from tabtools.review.git import GitFault


@main.command()
@click.argument("revisions", metavar="BASE..HEAD")
@click.option("--to", type=click.Path(path_type=Path, dir_okay=False), help="Write it to this file.")
@click.option("--format", "form", type=click.Choice(["html", "markdown"]), help="How; html for a file, else markdown.")
@click.pass_obj
def review(settings: Settings, revisions: str, to: Path | None, form: str | None) -> None:
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
    from tabtools.review.git import GitFault

    try:
        reviewed = _reviewed(revisions, settings)
    except GitFault as fault:
        raise _stop(fault) from None
    if (form or _form(to)) == "html":
        from tabtools.website.review_page import review_page

        text = review_page(reviewed)
    else:
        from tabtools.reports.review import review_markdown

        text = review_markdown(reviewed) + "\n"
    if to is None:
        click.echo(text, nl=False)
    else:
        write(to, text)
        click.echo(f"{shown_name(from_here(to))}: written")


def _form(to: Path | None) -> str:
    return "html" if to is not None and to.suffix.lower() in (".html", ".htm") else "markdown"


def _reviewed(revisions: str, settings: Settings) -> Reviewed:
    """The solos that changed, and the names of what else did."""
    from tabtools.cli.differences import changes_of_repository
    from tabtools.files import LESSON_SUFFIX, SUFFIX
    from tabtools.reports.review import Reviewed
    from tabtools.review.revisions import repository_at

    dots = "..." if "..." in revisions else ".."
    first, found, second = revisions.partition(dots)
    if not found:
        raise Stop(f"“{revisions}” names no two revisions; write BASE..HEAD, like main..correction")
    repository = repository_at(Path.cwd())
    old, new = (repository.resolve(side or "HEAD") for side in (first, second))
    if dots == "...":
        old = repository.merge_base(old, new)
    folder = settings.folder.resolve()
    within = folder.relative_to(repository.top).as_posix() if folder.is_relative_to(repository.top) else "."
    paths = [] if within == "." else [within]
    files = changes_of_repository(repository, old, new, paths, settings.profile)
    names = [pair.new or pair.old or "" for pair in repository.changed(old, new)]
    others = [name for name in names if not (_is_within(name, within) and name.endswith((SUFFIX, LESSON_SUFFIX)))]
    return Reviewed(revisions, tuple(file for file in files if file.is_anything), tuple(sorted(others)))


def _is_within(name: str, folder: str) -> bool:
    return folder == "." or name.startswith(f"{folder}/")


def _stop(fault: GitFault) -> Stop:
    return Stop(f"{fault.message}; {fault.advice}" if fault.advice else fault.message)
