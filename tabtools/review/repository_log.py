"""What git knows of a whole collection, in one reading: every commit that touched a solo, on whose word.

Where there is no git, or only a part of its history, there is less to tell; nothing here fails for it, but the log
says why.

A merge touches a solo only where it differs from all that it merges: what a branch brought is told by the commits of
the branch, once, and a branch that a merge left out is not told at all.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from tabtools.review.git import GitError, NoCommits
from tabtools.review.git_log import WITH_FILES, WITH_RENAMES, Commit, git_log
from tabtools.review.history import edges_of
from tabtools.review.missing_history import LOST_TEXTS, SHALLOW
from tabtools.review.revisions import Repository, repository_at, text_of
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

    `names` are those that files had before, the latest first, with the one they have now. `is_cut` says that there is
    more than is known here. Without a repository nothing is told. `fault` is what keeps git from telling all that was
    committed, None where nothing does.
    """

    repository: Repository | None = None
    touches: list[tuple[str, Touch]] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    is_cut: bool = False
    fault: GitError | None = None

    def by_path(self) -> dict[str, list[Touch]]:
        """The touches of each solo, the latest first."""
        found: dict[str, list[Touch]] = {}
        for path, touch in self.touches:
            found.setdefault(path, []).append(touch)
        return found

    def former_paths(self) -> dict[str, list[str]]:
        """The names that solos had before, by their names now; the latest first, each once."""
        found: dict[str, list[str]] = {}
        for old, path in self.names.items():
            if old.endswith(SUFFIX) and old != path:
                found.setdefault(path, []).append(old)
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
        return _read_log(repository, folder.resolve().relative_to(top).as_posix())
    except NoCommits:
        return RepositoryLog(repository)
    except GitError as fault:
        return RepositoryLog(fault=fault)


def _read_log(repository: Repository, within: str) -> RepositoryLog:
    edges = edges_of(repository)
    options = "--date-order", *WITH_FILES, *WITH_RENAMES, "-c", "--combined-all-paths", f"--max-count={MOST_COMMITS}"
    log = RepositoryLog(repository)
    now: dict[str, str] = {}
    seen: set[str] = set()
    for commit, _, files in git_log(repository.top, options, "--", within):
        seen.add(commit.name)
        if commit.name in edges:
            log.is_cut = True
            log.fault = SHALLOW
            continue
        renamed: dict[str, str] = {}
        for file in files:
            if file.is_link:
                continue
            name = now.get(file.path, file.path)
            if file.new is not None and file.path.endswith(SUFFIX) and file.new not in file.olds:
                log.touches.append((name, Touch(commit, file.path, file.olds, file.new)))
            renamed.update({old: name for old in file.old_paths if old != file.path})
        now.update(renamed)
    log.names = now
    log.is_cut = log.is_cut or len(seen) >= MOST_COMMITS
    return log
