"""What git knows of a whole collection, in one reading: every commit that touched a solo, on whose word.

Where there is no git, or only a part of its history, there is less to tell; nothing here fails for it, but the log
says why.

A merge touches a solo only where it differs from all that it merges: what a branch brought is told by the commits of
the branch, once, and a branch that a merge left out is not told at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from tabtools.review.git import GitError, NoCommits, output
from tabtools.review.history import FIELDS, Commit, commit_of, edges_of
from tabtools.review.missing_history import LOST_TEXTS, SHALLOW
from tabtools.review.revisions import SYMBOLIC_LINK, Repository, repository_at, text_of
from tabtools.source import SUFFIX

MOST_COMMITS = 5_000


class Touch(NamedTuple):
    """A commit that touched a solo: its name then, and its text before and after as blobs.

    `olds` is one text as a rule, none where the solo is new, one for each parent where the commit is a merge.
    """

    commit: Commit
    path: str
    olds: tuple[str, ...]
    new: str


@dataclass
class RepositoryLog:
    """The touches of every solo, the latest first, by its name now (from the top of the repository).

    `is_cut` says that there is more than is known here. Without a repository nothing is told. `fault` is what
    keeps git from telling all that was committed, None where nothing does.
    """

    repository: Repository | None = None
    touches: list[tuple[str, Touch]] = field(default_factory=list)
    is_cut: bool = False
    fault: GitError | None = None

    def by_path(self) -> dict[str, list[Touch]]:
        """The touches of each solo, the latest first."""
        found: dict[str, list[Touch]] = {}
        for path, touch in self.touches:
            found.setdefault(path, []).append(touch)
        return found

    def texts(self, blobs: Iterable[str]) -> dict[str, str | None]:
        """What stands in blobs, None where that is no text; all in one go. Those that cannot be had are missing."""
        wanted = sorted(set(blobs))
        try:
            contents = self.repository.blobs(wanted) if self.repository else {}
        except GitError as fault:
            contents = {}
            self.fault = self.fault or fault
        if any(content is None for content in contents.values()):
            self.fault = self.fault or LOST_TEXTS
        sources = {blob: text_of(content) for blob, content in contents.items() if content is not None}
        return {blob: source.text if source else None for blob, source in sources.items()}


def repository_log_of(folder: Path) -> RepositoryLog:
    """What git knows of the solos in a folder; an empty log where it knows nothing. Never fails."""
    try:
        repository = repository_at(folder)
        top = repository.top.resolve()
        if not folder.resolve().is_relative_to(top):
            return RepositoryLog(fault=GitError(f"the solos lie outside of the repository's folder {top}"))
        return _memory(repository, folder.resolve().relative_to(top).as_posix())
    except NoCommits:
        return RepositoryLog(repository)
    except GitError as fault:
        return RepositoryLog(fault=fault)


def _memory(repository: Repository, within: str) -> RepositoryLog:
    edges = edges_of(repository)
    command = ["log", "-z", "--date-order", "--raw", "-c", "--combined-all-paths", "--no-abbrev", "--no-ext-diff"]
    command += ["--find-renames=40%", "-l2000", f"--max-count={MOST_COMMITS}", f"--format={'%x00'.join(FIELDS)}"]
    words = output([*command, "--", within], repository.top)
    log = RepositoryLog(repository)
    now: dict[str, str] = {}
    seen: set[str] = set()
    for commit, changes in _commits(words.split("\x00")):
        seen.add(commit.name)
        if commit.name in edges:
            log.is_cut = True
            log.fault = SHALLOW
            continue
        renamed: dict[str, str] = {}
        for change in changes:
            name = now.get(change.path, change.path)
            if change.new is not None and change.path.endswith(SUFFIX) and change.new not in change.olds:
                log.touches.append((name, Touch(commit, change.path, change.olds, change.new)))
            renamed.update({old: name for old in change.old_paths if old != change.path})
        now.update(renamed)
    log.is_cut = log.is_cut or len(seen) >= MOST_COMMITS
    return log


class _FileStatus(NamedTuple):
    """A file that a commit changed: its names and blobs before (more for a merge), its name and blob after."""

    old_paths: tuple[str, ...]
    path: str
    olds: tuple[str, ...]
    new: str | None


def _commits(words: list[str]) -> Iterator[tuple[Commit, list[_FileStatus]]]:
    """Each commit with the files it changed, from what git prints."""
    at = 0
    while True:
        while words[at : at + 1] == [""]:
            at += 1
        if at + len(FIELDS) > len(words):
            return
        commit, _ = commit_of(words[at : at + len(FIELDS)])
        at += len(FIELDS)
        changes: list[_FileStatus] = []
        while (head := _head(words, at)) is not None:
            count, at = _names(head), head[0] + 1
            change = _change(head[1], words[at : at + count])
            at += count
            if change is not None:
                changes.append(change)
        yield commit, changes


def _head(words: list[str], at: int) -> tuple[int, str] | None:
    """Where the next file's line stands, and the line; None where there is none."""
    if words[at : at + 1] == [""]:
        at += 1
    line = words[at].lstrip("\n") if at < len(words) else ""
    return (at, line) if line.startswith(":") else None


def _names(head: tuple[int, str]) -> int:
    """How many names follow a file's line: for a merge one for each parent, and the one after."""
    line = head[1]
    parents = len(line) - len(line.lstrip(":"))
    status = line.rsplit(" ", 1)[1]
    return parents + 1 if parents > 1 else 2 if status[0] in "RC" else 1


def _change(line: str, names: list[str]) -> _FileStatus | None:
    """What a file's line and names say; None for a symbolic link."""
    parents = len(line) - len(line.lstrip(":"))
    parts = line.lstrip(":").split(" ")
    modes, blobs, status = parts[: parents + 1], parts[parents + 1 : 2 * parents + 2], parts[-1]
    if modes[-1] == SYMBOLIC_LINK or len(blobs) != parents + 1:
        return None
    is_copy = status[0] == "C"
    plain = [blob for mode, blob in zip(modes, blobs[:-1], strict=False) if mode != SYMBOLIC_LINK and blob.strip("0")]
    olds = () if is_copy else tuple(plain)
    old_paths = () if is_copy else tuple(names[:-1])
    return _FileStatus(old_paths, names[-1], olds, blobs[-1] if blobs[-1].strip("0") else None)
