"""review and apply: corrections by others, looked at whole before they are taken."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import main, styled, with_settings
from tabtools.cli.comparing import is_page
from tabtools.cli.exits import CLEAN, FINDINGS, StopError
from tabtools.cli.output import FORCE, check_report, unwritten, write_new, write_over
from tabtools.files import from_here, shown_name
from tabtools.settings import Settings
from tabtools.wording import several
from tabtools.writing import ChangedError, write_atomically

if TYPE_CHECKING:
    from tabtools.lock import Lock
    from tabtools.reports.comparison import FileChange
    from tabtools.reports.review import Reviewed
    from tabtools.review.apply_patch import Correction
    from tabtools.review.git import GitError
    from tabtools.review.patch import Patch
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
        raise _stop(fault) from None
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


def _stop(fault: GitError) -> StopError:
    return StopError(f"{fault.message}; {fault.advice}" if fault.advice else fault.message)


# ---- apply


@main.command(name="apply", statuses={CLEAN: "committed", FINDINGS: "not wanted, or it brings errors"})
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Do not ask. A correction that brings errors is refused then.")
@click.option("--credit", default="", help="Who suggested it, where the patch does not say.")
@with_settings
def apply_(settings: Settings, file: Path, yes: bool, credit: str) -> None:
    """Take a reader's correction: show it, check it, commit it.

    FILE is a patch (- for standard input, with --yes). It may change lines of
    one solo or of one lesson under the folder of the solos, and nothing else.
    You stay the author of the commit; who suggested it is named in its last
    line. Whenever it is not committed the file is as it was, or it is said how
    to finish.

    \b
    Example:
      tabtools apply suggestion.patch
    """
    from dataclasses import replace

    from tabtools.review.apply_patch import fitted
    from tabtools.review.git import GitError
    from tabtools.review.patch import PatchError, read_patch
    from tabtools.review.revisions import repository_at

    if str(file) == "-" and not yes:
        raise StopError("a patch from standard input leaves nobody to ask; add --yes, or save it as a file")
    try:
        repository = repository_at(Path.cwd())
        if not repository.has_commits():
            raise StopError("nothing is committed here yet, so there is nothing to correct")
        folder = folder_of(repository, settings)
        patch = read_patch(_bytes(file), folder)
        patch = replace(patch, credit=_one_line(credit) or patch.credit)
        with _alone(repository):
            _finish_first(repository, folder, patch)
            correction = fitted(repository, patch)
        change = _change(repository, correction, settings)
        _ask(change, patch, yes, correction.is_written)
        with _alone(repository):
            _take(repository, correction, change)
    except PatchError as refused:
        raise StopError(f"this correction is refused: {refused.message}; {refused.advice}") from None
    except GitError as fault:
        raise _stop(fault) from None


def _finish_first(repository: Repository, folder: str, patch: Patch) -> None:
    """Nothing is taken while an earlier correction is written and not committed, but that one."""
    from tabtools.review.apply_patch import pending
    from tabtools.review.patch import PatchError

    found = pending(repository, folder)
    if found is None:
        return
    kept, other = found
    if (other.path, other.hunks) != (patch.path, patch.hunks):
        raise PatchError(
            f"an earlier correction of {other.path} was broken off before it was committed",
            f"tabtools apply {shown_name(from_here(kept))} finishes it, git checkout -- {other.path} drops it",
        )


def _bytes(file: Path) -> bytes:
    from tabtools.source import MAX_BYTES

    try:
        if str(file) == "-":
            return sys.stdin.buffer.read(MAX_BYTES + 1)
        if not file.is_file():
            raise StopError(f"{shown_name(file)} is not there, or is no file")
        with file.open("rb") as opened:
            return opened.read(MAX_BYTES + 1)
    except OSError as error:
        raise StopError(f"{shown_name(file)} cannot be read: {(error.strerror or str(error)).lower()}") from None


def _one_line(text: str) -> str:
    from tabtools.review.patch import LONGEST_CREDIT
    from tabtools.source import visible

    return visible(" ".join(text.split()))[:LONGEST_CREDIT]


def _change(repository: Repository, correction: Correction, settings: Settings) -> FileChange:
    """What the correction changes, as the review shows it."""
    from tabtools.cli.differences import Versions, change_of
    from tabtools.files import Unread, read_all, read_bytes
    from tabtools.review.patch import PatchError
    from tabtools.source import LESSON_SUFFIX, SUFFIX

    place, path = correction.place, correction.patch.path
    was, now = (read_bytes(data, path) for data in (correction.old, correction.new))
    if isinstance(now, Unread):
        raise PatchError(f"with it, {path} could not be read: {now.error.message}", now.error.advice)
    other = place.with_suffix(SUFFIX if place.suffix == LESSON_SUFFIX else LESSON_SUFFIX)
    beside = next(read_all([other], [repository.top])) if other.is_file() else None
    if place.suffix == SUFFIX:
        return change_of(Versions(path, path, was, now, beside, beside), settings.profile)
    if beside is None:
        raise PatchError(f"{path} is no lesson: there is no solo of that name beside it")
    solo = path.removesuffix(LESSON_SUFFIX) + SUFFIX
    return change_of(Versions(solo, solo, beside, beside, was, now), settings.profile)


def _ask(change: FileChange, patch: Patch, yes: bool, is_written: bool) -> None:
    """Show the correction, and stop where it is not wanted."""
    from tabtools.problem import Severity
    from tabtools.reports.comparison import as_text

    click.echo(as_text([change], styled))
    click.echo()
    if is_written:
        click.echo("the file has it already: taking it was broken off before the commit")
    for name, said in (("suggested by", patch.credit), ("in the recording at", patch.at), ("because", patch.reason)):
        if said:
            click.echo(f"{name}: {said}")
    appeared = change.consequences.appeared
    errors = sum(problem.severity is Severity.ERROR for problem in appeared)
    troubles = [f"it brings {several(errors, 'error')}"] if errors else []
    troubles += ["it cannot be read as music"] if change.comparison is None else []
    said = " and ".join(troubles)
    if said:
        click.echo(styled(f"warning: {said}", "warning"))
    if yes and said:
        click.echo(f"not committed: {said}", err=True)
        sys.exit(FINDINGS)
    if not yes and not click.confirm("Commit this correction?", default=False):
        click.echo("not committed")
        sys.exit(FINDINGS)


def _alone(repository: Repository) -> Lock:
    from tabtools.review.apply_patch import alone

    try:
        return alone(repository, lambda: click.echo("another correction is being taken; this waits for it", err=True))
    except OSError as fault:
        raise _unkept(fault) from None


def _unkept(fault: OSError) -> StopError:
    return StopError(f"nothing can be written beside the repository: {(fault.strerror or str(fault)).lower()}")


def _take(repository: Repository, correction: Correction, change: FileChange) -> None:
    """Write the file and commit it; where that fails the file is put back, where it is broken off it can be finished.

    The file comes first: broken off between the two, git shows it as changed, and nobody takes the correction back
    without knowing, as they would by a commit after one that the file does not have yet.
    """
    from tabtools.review.apply_patch import commit, is_committed, is_still, keep, let_go, message_of
    from tabtools.review.patch import PatchError

    if correction.is_written and is_committed(repository, correction):
        raise PatchError(f"{correction.patch.path} has this correction already", "nothing is left to do")
    if not is_still(correction):
        raise PatchError(f"{correction.patch.path} was changed in the meantime", "look at it, then try again")
    message = message_of(correction.patch, _subject(correction.patch, change))
    try:
        kept = keep(repository, correction.patch)
    except OSError as fault:
        raise _unkept(fault) from None
    if not correction.is_written:
        try:
            write_over(correction.place, correction.new, partial(is_still, correction))
        except StopError:
            let_go(kept)
            raise
    try:
        name = commit(repository, correction.patch, message)
    except BaseException:
        if not correction.is_written:
            _put_back(repository, correction, kept)
        raise
    let_go(kept)
    click.echo(f"committed as {name[:8]}")


def _put_back(repository: Repository, correction: Correction, kept: Path) -> None:
    """The file as it was, unless the commit was made after all. Raises `StopError` where neither can be done."""
    from tabtools.review.apply_patch import is_committed, is_taken, let_go
    from tabtools.review.git import GitError

    path = correction.patch.path
    try:
        if is_committed(repository, correction):
            return
        write_atomically(correction.place, correction.old, is_still=partial(is_taken, correction))
        let_go(kept)
    except ChangedError:
        let_go(kept)
        raise StopError(
            f"{path} has the correction and what was saved since, and none of it is committed; look at "
            f"git diff -- {path}, then commit it yourself"
        ) from None
    except (GitError, OSError) as fault:
        reason = fault.message if isinstance(fault, GitError) else unwritten(correction.place, fault).message
        raise StopError(
            f"{path} has the correction, but perhaps it is not committed: {reason}; when that is mended, "
            f"tabtools apply {shown_name(from_here(kept))} finishes it, git checkout -- {path} drops it"
        ) from None


def _subject(patch: Patch, change: FileChange) -> str:
    """`dusk: 1 note to another pitch (bar 12)`, within the width of a subject."""
    from tabtools.reports.comparison import in_short

    text = f"{Path(patch.path).stem}: {in_short(change)}"
    return text if len(text) <= LONGEST_SUBJECT else f"{text[: LONGEST_SUBJECT - 1].rstrip()}…"
