"""The commits that touched one file, renames followed, and the file as it was after each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property

from tabtools.review.change import Comparison, ReadVersion, read_version
from tabtools.review.compare import compare
from tabtools.review.git import output
from tabtools.review.git_log import WITH_RENAMES, Commit, git_log
from tabtools.review.revisions import Content, Repository, text_of
from tabtools.source import from_text, is_number

MOST_RENAMES = 20
MOST_COMMITS = 2000


@dataclass(frozen=True)
class Step:
    """A commit that touched the file, and the steps before it: one as a rule, none at the beginning, more for a merge.

    `path` is the file's name then; `is_edge` says that the clone knows nothing earlier.
    """

    commit: Commit
    path: str
    parents: tuple[tuple[str, str], ...]
    is_edge: bool = False

    @property
    def key(self) -> tuple[str, str]:
        return self.commit.name, self.path


@dataclass
class History:
    """The steps of one file, the latest first. `is_cut` says that there were more than are read."""

    repository: Repository
    steps: dict[tuple[str, str], Step] = field(default_factory=dict)
    is_cut: bool = False

    @cached_property
    def _contents(self) -> dict[str, Content]:
        return self.repository.blobs([f"{name}:{path}" for name, path in self.steps])

    @cached_property
    def _versions(self) -> dict[tuple[str, str], ReadVersion | None]:
        return {}

    def version(self, key: tuple[str, str]) -> ReadVersion | None:
        """The file after a step, as far as it could be read; None where there is no text."""
        if key not in self._versions:
            source = text_of(self._contents.get(":".join(key)), key[1])
            self._versions[key] = None if source is None else read_version(source)
        return self._versions[key]

    def compared(self, old: tuple[str, str] | None, new: tuple[str, str]) -> Comparison | None:
        """Two steps compared, `old` None standing for nothing; None where one cannot be read whole."""
        before = read_version(from_text("", new[1])) if old is None else self.version(old)
        after = self.version(new)
        if before is None or after is None or not (before.is_whole and after.is_whole):
            return None
        return compare(before, after)


def history_of(repository: Repository, path: str, revision: str = "HEAD") -> History:
    """The history of a file, named from the top of the repository. Raises `GitError`."""
    history = History(repository)
    edges = edges_of(repository)
    pending: list[tuple[str, str, tuple[str, str] | None]] = [(revision, path, None)]
    for _ in range(MOST_RENAMES):
        if not pending:
            break
        start, name, child = pending.pop()
        steps = list(_log(repository, start, name, edges))
        history.is_cut = history.is_cut or len(steps) >= MOST_COMMITS
        if child is not None and steps:
            history.steps[child] = _with_parent(history.steps[child], steps[0].key)
        for step in steps:
            if step.key not in history.steps:
                history.steps[step.key] = step
                if not step.parents and not step.is_edge and (source := _renamed_from(repository, step)):
                    pending.append((f"{step.commit.name}^", source, step.key))
    return history


def _with_parent(step: Step, parent: tuple[str, str]) -> Step:
    return Step(step.commit, step.path, (parent,), step.is_edge)


def edges_of(repository: Repository) -> frozenset[str]:
    """The commits of a shallow clone whose parents it does not have."""
    if not repository.is_shallow():
        return frozenset()
    place = output(["rev-parse", "--git-path", "shallow"], repository.top).rstrip("\n")
    try:
        return frozenset((repository.top / place).read_text(encoding="ascii").split())
    except (OSError, UnicodeDecodeError):
        return frozenset()


def _log(repository: Repository, start: str, path: str, edges: frozenset[str]) -> Iterator[Step]:
    """The commits that touched a path, each with its nearest ancestors that did."""
    options = "--topo-order", "--parents", f"--max-count={MOST_COMMITS}"
    for commit, parents, _ in git_log(repository.top, options, start, "--", path):
        yield Step(commit, path, tuple((parent, path) for parent in parents), commit.name in edges)


def _renamed_from(repository: Repository, step: Step) -> str | None:
    """The name a file had before the step with which this name appears; None where it is new."""
    command = ["diff-tree", "-r", "-z", "--no-commit-id", "--name-status", *WITH_RENAMES, step.commit.name]
    words = output(command, repository.top).split("\x00")
    for at, word in enumerate(words):
        if word.startswith("R") and is_number(word[1:]) and words[at + 2 : at + 3] == [step.path]:
            return words[at + 1]
    return None
