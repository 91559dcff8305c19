"""What diff is asked to compare: its words told apart, as git does it, into revisions, files and paths."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from tabtools.cli.exits import StopError
from tabtools.files import is_folder
from tabtools.review.git import GitError, NoGitError, NoRepository
from tabtools.review.revisions import Repository, repository_at
from tabtools.source import LESSON_SUFFIX, SUFFIX, cut

DASHES = "--"
LONGEST_PATH = 4_096
NAME_TWO = "name two files to compare"


class TwoFiles(NamedTuple):
    """Two files, wherever they lie."""

    old: Path
    new: Path


class TwoVersions(NamedTuple):
    """Two commits of a repository: `old` None is nothing at all, `new` None the files as they are.

    `paths`, from the top of the repository, are what is looked at; none is everything.
    """

    repository: Repository
    old: str | None
    new: str | None
    paths: tuple[str, ...]


def what_to_compare(words: Sequence[str]) -> TwoFiles | TwoVersions:
    """Words before `--` are revisions, words behind it paths; without one, each is what there is of its name.

    Two files alone are compared with each other. Raises `StopError` for a word that is nothing, or could be either,
    `GitError` where git cannot say.
    """
    if len(words) == 2 and all(map(_is_file, words)):
        _refuse_revisions(words)
        return TwoFiles(*map(Path, words))
    repository = _repository(words)
    if DASHES in words:
        at = words.index(DASHES)
        revisions, paths = words[:at], words[at + 1 :]
    else:
        revisions, paths = _told_apart(repository, words)
    old, new = _versions(repository, revisions)
    commits = [commit for commit in (old, new) if commit is not None]
    found = []
    for word in paths:
        path = _path(repository, word, commits)
        if path is None:
            raise _missing(repository, word, DASHES in words)
        found.append(path)
    return TwoVersions(repository, old, new, () if "." in found else tuple(found))


def path_within(repository: Repository, path: Path) -> str:
    """A path from the top of the repository, whose folder it may not leave. Raises `StopError`."""
    whole = Path(os.path.normpath(Path.cwd() / path))
    whole = whole.parent.resolve() / whole.name
    if not whole.is_relative_to(repository.top.resolve()):
        raise StopError(f"{cut(str(path))} lies outside this repository; {NAME_TWO}")
    return whole.relative_to(repository.top.resolve()).as_posix()


def _is_file(word: str) -> bool:
    return os.path.lexists(word) and not is_folder(Path(word))


def _repository(words: Sequence[str]) -> Repository:
    try:
        return repository_at(Path.cwd())
    except NoRepository as fault:
        if len(words) == 2 and any(map(_is_file, words)):
            missing = next(word for word in words if not _is_file(word))
            what = "a folder" if is_folder(Path(missing)) else "not there"
            raise StopError(f"“{cut(missing)}” is {what}; {NAME_TWO}") from None
        raise StopError(f"{fault.message}; {NAME_TWO}") from None
    except NoGitError as fault:
        raise StopError(f"{fault.message}; {fault.advice}, or {NAME_TWO}") from None


# ---- revisions


def _refuse_revisions(words: Sequence[str]) -> None:
    """Raises `StopError` where one of two files is a revision too. Where git cannot say there are none."""
    try:
        repository = repository_at(Path.cwd())
        either = next((word for word in words if word[0] not in "./" and repository.find(word)), None)
    except GitError:
        return
    if either is not None:
        raise _both(either)


def _both(word: str) -> StopError:
    return StopError(
        f"“{cut(word)}” is both a revision and a file or folder here; "
        f"write “{cut(word)} --” for the revision, “-- {cut(word)}” for the other"
    )


def _told_apart(repository: Repository, words: Sequence[str]) -> tuple[Sequence[str], Sequence[str]]:
    """The revisions, which come first, and the paths."""
    for at, word in enumerate(words):
        commits = _commits(repository, word)
        if commits and os.path.lexists(word):
            raise _both(word)
        if not commits:
            return words[:at], words[at:]
    return words, ()


def _commits(repository: Repository, word: str) -> tuple[str, ...]:
    """The commits a word names: one, two with dots between them, or none. Raises `GitError` for half of a range."""
    if (commit := repository.find(word)) is not None:
        return (commit,)
    if ".." in Path(word).parts:
        return ()
    try:
        return repository.range_of(word) or ()
    except GitError:
        if os.path.lexists(word):
            return ()
        raise


def _versions(repository: Repository, words: Sequence[str]) -> tuple[str | None, str | None]:
    if not words:
        return (repository.resolve("HEAD") if repository.has_commits() else None), None
    commits = [_commits(repository, word) or (repository.resolve(word),) for word in words]
    if sum(map(len, commits)) > 2:
        raise StopError("at most two revisions are compared")
    old, *rest = (commit for some in commits for commit in some)
    return old, rest[0] if rest else None


# ---- paths


def _path(repository: Repository, word: str, commits: Sequence[str]) -> str | None:
    """A path from the top, of which we can say what changed; None where it leads to nothing, here or in a commit.

    Raises `StopError` for what is there and is neither a solo nor a lesson nor a folder.
    """
    if not word or len(word) > LONGEST_PATH:
        return None
    path = path_within(repository, Path(word))
    place = repository.top / path
    if place.is_symlink():
        raise StopError(f"{cut(word)} is a link; name what it leads to")
    if place.is_dir():
        return path
    kinds = {repository.kind(commit, path) for commit in commits} - {None}
    if not kinds and not os.path.lexists(place):
        return None
    solo = path.removesuffix(LESSON_SUFFIX) + SUFFIX if path.endswith(LESSON_SUFFIX) else path
    is_lesson = solo != path and (
        _is_file(str(repository.top / solo)) or any(repository.kind(commit, solo) for commit in commits)
    )
    if not (path.endswith(SUFFIX) or is_lesson or "tree" in kinds):
        raise StopError(f"{cut(word)} is neither a solo nor the lesson of one")
    return path


def _missing(repository: Repository, word: str, is_path: bool) -> StopError:
    named = f"“{cut(word)}”"
    if is_path:
        return StopError(f"{named} is not there, and was not; check its name")
    if word and not word.strip("."):
        return StopError(f"{named} names no revisions; write two of them, like main..correction")
    if _commits(repository, word):
        return StopError(f"{named} is no file or folder here; revisions come before files")
    return StopError(
        f"{named} is neither a revision nor a file or folder here; check its name (git log shows the commits there are)"
    )
