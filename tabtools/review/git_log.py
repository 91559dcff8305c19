"""What `git log` says: commits, and the files that each of them changed. The only reader of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from tabtools.review.git import output
from tabtools.review.people import people_of, readable
from tabtools.review.revisions import SYMBOLIC_LINK

WITH_FILES = ("--raw", "--no-abbrev")
WITH_RENAMES = ("--find-renames=40%", "-l2000")

_CREDITS = "%(trailers:key=Suggested-by,key=Co-authored-by,valueonly,separator=%x1f)"
_FIELDS = ("%H", "%P", "%aN", "%aI", "%ct", "%s", _CREDITS)
_EPOCH = datetime.fromtimestamp(0, UTC)


class Commit(NamedTuple):
    """One commit. `date` is ISO 8601; `credits` are the names in its trailers `Suggested-by` and `Co-authored-by`.

    People are called as `.mailmap` calls them, and what they wrote is without controls. `committed` is when the commit
    was made, `date` when its author wrote it.
    """

    name: str
    author: str
    date: str
    subject: str
    credits: tuple[str, ...]
    committed: datetime = _EPOCH

    @property
    def when(self) -> datetime:
        """The author's date in UTC; the beginning of 1970 where it makes no sense."""
        try:
            return datetime.fromisoformat(self.date).astimezone(UTC)
        except (ValueError, OverflowError):
            return _EPOCH


class ChangedFile(NamedTuple):
    """A file that a commit changed: its names and blobs before (more for a merge), its name and blob after.

    A symbolic link is no file: there is no blob where one was. `is_link` says that there is one now.
    """

    old_paths: tuple[str, ...]
    path: str
    olds: tuple[str, ...]
    new: str | None
    is_link: bool = False


class LoggedCommit(NamedTuple):
    """A commit with the names of its parents, and the files it changed, where the log was asked for them."""

    commit: Commit
    parents: tuple[str, ...]
    files: tuple[ChangedFile, ...]


def git_log(folder: Path, options: Sequence[str], *where: str) -> list[LoggedCommit]:
    """The commits that `git log` names with these options, run in a folder. Raises `GitError`.

    `where` is a revision, if any, `--` and paths. Files are told with the options `WITH_FILES`.
    """
    command = ["log", "-z", *options, "--no-ext-diff", f"--format={'%x00'.join(_FIELDS)}", "--end-of-options", *where]
    found = list(_commits(output(command, folder).split("\x00")))
    people = people_of((contact for one in found for contact in one.commit.credits), folder)
    return [one._replace(commit=_with_names(one.commit, people)) for one in found]


def _with_names(commit: Commit, people: Mapping[str, str]) -> Commit:
    names = dict.fromkeys(people[contact] for contact in commit.credits)
    return commit._replace(credits=tuple(filter(None, names)))


def _commits(words: Sequence[str]) -> Iterator[LoggedCommit]:
    """The commits, their credits as they are written."""
    at = 0
    while True:
        while words[at : at + 1] == [""]:
            at += 1
        if at + len(_FIELDS) > len(words):
            return
        commit, parents = _commit(words[at : at + len(_FIELDS)])
        files, at = _files(words, at + len(_FIELDS))
        yield LoggedCommit(commit, parents, files)


def _commit(words: Sequence[str]) -> tuple[Commit, tuple[str, ...]]:
    name, parents, author, date, committed, subject, trailers = words
    contacts = tuple(filter(None, trailers.split("\x1f")))
    commit = Commit(name.strip(), readable(author), date, readable(subject), contacts, _moment(committed))
    return commit, tuple(parents.split())


def _moment(seconds: str) -> datetime:
    try:
        return datetime.fromtimestamp(int(seconds), UTC)
    except (ValueError, OverflowError, OSError):
        return _EPOCH


def _files(words: Sequence[str], at: int) -> tuple[tuple[ChangedFile, ...], int]:
    """The files told from a place in the words on, and the place behind them: git-diff(1), “Raw output format”."""
    files: list[ChangedFile] = []
    while (head := _head(words, at)) is not None:
        line, at = head
        count = _names(line)
        files.append(_file(line, words[at : at + count]))
        at += count
    return tuple(files), at


def _head(words: Sequence[str], at: int) -> tuple[str, int] | None:
    """The next file's line, and where its names stand; None where there is none."""
    if words[at : at + 1] == [""]:
        at += 1
    line = words[at].lstrip("\n") if at < len(words) else ""
    return (line, at + 1) if line.startswith(":") else None


def _parents(line: str) -> int:
    return len(line) - len(line.lstrip(":"))


def _names(line: str) -> int:
    """How many names follow a file's line: for a merge one for each parent, and the one after."""
    status = line.rsplit(" ", 1)[1]
    return _parents(line) + 1 if _parents(line) > 1 else 2 if status[0] in "RC" else 1


def _file(line: str, names: Sequence[str]) -> ChangedFile:
    parents = _parents(line)
    parts = line.lstrip(":").split(" ")
    modes, blobs, status = parts[: parents + 1], parts[parents + 1 : 2 * parents + 2], parts[-1]
    is_copy = status[0] == "C"
    plain = [blob for mode, blob in zip(modes, blobs[:-1], strict=False) if mode != SYMBOLIC_LINK and blob.strip("0")]
    return ChangedFile(
        () if is_copy else tuple(names[:-1]),
        names[-1],
        () if is_copy else tuple(plain),
        blobs[-1] if blobs[-1].strip("0") else None,
        modes[-1] == SYMBOLIC_LINK,
    )
