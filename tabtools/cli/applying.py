"""apply: a correction by others, looked at whole before it is taken."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

import click

from tabtools.cli.base import main, styled, with_settings
from tabtools.cli.exits import CLEAN, FINDINGS, StopError, stopped
from tabtools.cli.output import unwritten, write_over
from tabtools.cli.reviewing import folder_of
from tabtools.files import from_here, shown_name
from tabtools.settings import Settings
from tabtools.wording import several
from tabtools.writing import ChangedError, write_atomically

if TYPE_CHECKING:
    from tabtools.files import Unread
    from tabtools.lock import Lock
    from tabtools.reports.comparison import FileChange
    from tabtools.review.apply_patch import CorrectedFile, Correction
    from tabtools.review.patch import Patch
    from tabtools.review.revisions import Repository
    from tabtools.source import SourceText

LONGEST_SUBJECT = 72


@main.command(name="apply", statuses={CLEAN: "committed, or written", FINDINGS: "not wanted, or it brings errors"})
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Do not ask. A correction that brings errors is refused then.")
@click.option("--no-commit", is_flag=True, help="Only write it to the files, to go on from there.")
@click.option("--with-errors", is_flag=True, help="Commit it even where it brings errors.")
@click.option("--credit", default="", help="Who suggested it, where the patch does not say.")
@with_settings
def apply_(settings: Settings, file: Path, yes: bool, no_commit: bool, with_errors: bool, credit: str) -> None:
    """Take a reader's correction: show it, check it, commit it.

    FILE is a patch (- for standard input, with --yes). It may change lines of
    one solo, of its lesson, or of both, and nothing else. You stay the author
    of the commit; who suggested it is named in its last line, and why in its
    text: a patch of git format-patch says both in its head.

    One that brings errors, as where a sentence of the lesson is no longer
    true, is not committed: --no-commit writes it to the files, so that both
    are mended together, and the next git commit opens with its words. Whenever
    it is not committed the files are as they were, or it is said how to
    finish.

    \b
    Example:
      tabtools apply suggestion.patch
      tabtools apply 0001-a-higher-note.patch --no-commit
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
        is_whole = not no_commit and _ask(change, correction, yes, with_errors)
        if no_commit:
            _show(change, correction)
        with _alone(repository):
            (_take if is_whole else _write_alone)(repository, correction, change)
    except PatchError as refused:
        raise StopError(f"this correction is refused: {refused.message}; {refused.advice}") from None
    except GitError as fault:
        raise stopped(fault) from None


def _finish_first(repository: Repository, folder: str, patch: Patch) -> None:
    """Nothing is taken while an earlier correction is written and not committed, but that one."""
    from tabtools.review.apply_patch import pending
    from tabtools.review.patch import PatchError

    found = pending(repository, folder)
    if found is None:
        return
    kept, other = found
    if other.files != patch.files:
        paths = " ".join(one.path for one in other.files)
        raise PatchError(
            f"an earlier correction of {other.path} was broken off before it was committed",
            f"tabtools apply {shown_name(from_here(kept))} finishes it, git checkout -- {paths} drops it",
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
    from tabtools.review.sender import LONGEST_CREDIT
    from tabtools.source import visible

    return visible(" ".join(text.split()))[:LONGEST_CREDIT]


def _change(repository: Repository, correction: Correction, settings: Settings) -> FileChange:
    """What the correction changes, as the review shows it."""
    from tabtools.cli.differences import Versions, change_of
    from tabtools.files import Unread, read_all, read_bytes
    from tabtools.review.patch import PatchError
    from tabtools.source import LESSON_SUFFIX, SUFFIX

    sides: list[SourceText | Unread | None] = []
    solo = PurePosixPath(correction.patch.path).with_suffix(SUFFIX)
    for suffix in (SUFFIX, LESSON_SUFFIX):
        found = correction.file(suffix)
        if found is None:
            other = repository.top / solo.with_suffix(suffix)
            beside = next(read_all([other], [repository.top])) if other.is_file() else None
            if beside is None and suffix == SUFFIX:
                raise PatchError(f"{correction.patch.path} is no lesson: there is no solo of that name beside it")
            sides += [beside, beside]
            continue
        was, now = (read_bytes(data, found.path) for data in (found.old, found.new))
        if isinstance(now, Unread):
            raise PatchError(f"with it, {found.path} could not be read: {now.error.message}", now.error.advice)
        sides += [was, now]
    return change_of(Versions(str(solo), str(solo), *sides), settings.profile)


def _show(change: FileChange, correction: Correction) -> str:
    """Show the correction; what is troubling about it, empty where nothing is."""
    from tabtools.problem import Severity
    from tabtools.reports.comparison import as_text

    patch = correction.patch
    click.echo(as_text([change], styled))
    click.echo()
    if correction.is_written:
        click.echo("the file has it already: taking it was broken off before the commit")
    for name, said in (("suggested by", patch.credit), ("in the recording at", patch.at), ("because", patch.reason)):
        if said:
            click.echo(f"{name}: {said}")
    appeared = change.consequences.appeared
    errors = sum(problem.severity is Severity.ERROR for problem in appeared)
    troubles = [f"it brings {several(errors, 'error')}"] if errors else []
    troubles += ["it cannot be read as music"] if change.comparison is None or change.broken else []
    if troubles:
        click.echo(styled(f"warning: {' and '.join(troubles)}", "warning"))
    return " and ".join(troubles)


def _ask(change: FileChange, correction: Correction, yes: bool, with_errors: bool) -> bool:
    """Show the correction, and stop where it is not wanted; whether it is committed, or only written."""
    trouble = _show(change, correction)
    is_stopped = bool(trouble) and not with_errors
    if yes and is_stopped:
        click.echo(f"not committed: {trouble}; --no-commit writes it to the files, to be mended there", err=True)
        sys.exit(FINDINGS)
    if yes:
        return True
    question = "Commit this correction?"
    if is_stopped:
        question = "Write it to the files without a commit, to be mended there?"
    if not click.confirm(question, default=False):
        click.echo("nothing is written" if is_stopped else "not committed")
        sys.exit(FINDINGS)
    return not is_stopped


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
    from tabtools.review.apply_patch import commit, keep, let_go, message_of

    _check_unchanged(repository, correction)
    message = message_of(correction.patch, _subject(correction.patch, change))
    try:
        kept = keep(repository, correction.patch)
    except OSError as fault:
        raise _unkept(fault) from None
    written: list[CorrectedFile] = []
    try:
        _write(correction, written)
    except StopError:
        _put_back(repository, correction, written, kept)
        raise
    try:
        name = commit(repository, correction.patch, message)
    except BaseException:
        _put_back(repository, correction, written, kept)
        raise
    let_go(kept)
    click.echo(f"committed as {name[:8]}")


def _write_alone(repository: Repository, correction: Correction, change: FileChange) -> None:
    """Write the files and commit nothing; the words of the correction wait for the next commit."""
    from tabtools.review.apply_patch import message_of, propose_message

    _check_unchanged(repository, correction)
    written: list[CorrectedFile] = []
    try:
        _write(correction, written)
    except StopError:
        _put_back(repository, correction, written, None)
        raise
    message = message_of(correction.patch, _subject(correction.patch, change))
    try:
        waits = propose_message(repository, message)
    except OSError as fault:
        raise _unkept(fault) from None
    click.echo("written, not committed; mend what it breaks, then: git commit " + correction.paths)
    if waits:
        click.echo("that opens with the words of the correction and its credit")
    else:
        click.echo(f"its words, as git keeps others for the next commit:\n\n{message}", nl=False)


def _check_unchanged(repository: Repository, correction: Correction) -> None:
    from tabtools.review.apply_patch import is_committed, is_still
    from tabtools.review.patch import PatchError

    if correction.is_written and is_committed(repository, correction):
        raise PatchError(f"{correction.patch.path} has this correction already", "nothing is left to do")
    for one in correction.files:
        if not is_still(one):
            raise PatchError(f"{one.path} was changed in the meantime", "look at it, then try again")


def _write(correction: Correction, written: list[CorrectedFile]) -> None:
    """Write what is not written yet, noting each file that is."""
    from tabtools.review.apply_patch import is_still

    for one in correction.files:
        if not one.is_written:
            write_over(one.place, one.new, partial(is_still, one))
            written.append(one)


def _put_back(
    repository: Repository, correction: Correction, written: Sequence[CorrectedFile], kept: Path | None
) -> None:
    """The files as they were, unless the commit was made after all. Raises `StopError` where neither can be done."""
    from tabtools.review.apply_patch import is_committed, is_taken, let_go
    from tabtools.review.git import GitError

    paths = correction.paths
    finish = "" if kept is None else f"tabtools apply {shown_name(from_here(kept))} finishes it, "
    try:
        if is_committed(repository, correction):
            return
        for one in written:
            write_atomically(one.place, one.old, is_still=partial(is_taken, one))
        if kept is not None and not correction.is_written:
            let_go(kept)
    except ChangedError:
        if kept is not None:
            let_go(kept)
        raise StopError(
            f"{paths} has the correction and what was saved since, and none of it is committed; look at "
            f"git diff -- {paths}, then commit it yourself"
        ) from None
    except (GitError, OSError) as fault:
        reason = fault.message if isinstance(fault, GitError) else unwritten(written[0].place, fault).message
        raise StopError(
            f"{paths} has the correction, but perhaps it is not committed: {reason}; when that is mended, "
            f"{finish}git checkout -- {paths} drops it"
        ) from None


def _subject(patch: Patch, change: FileChange) -> str:
    """`dusk: 1 note to another pitch (bar 12)`, within the width of a subject."""
    from tabtools.reports.comparison import in_short

    text = f"{Path(patch.path).stem}: {in_short(change)}"
    return text if len(text) <= LONGEST_SUBJECT else f"{text[: LONGEST_SUBJECT - 1].rstrip()}…"
