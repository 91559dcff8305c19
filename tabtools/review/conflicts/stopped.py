"""The merge, rebase or cherry-pick that waits for decisions: its two sides, and the files as git keeps them."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from tabtools.review.git import output, run
from tabtools.review.revisions import Content, Repository
from tabtools.source import LESSON_SUFFIX, SUFFIX, visible

SHORT = 8
_STAGES = {"1": "base", "2": "ours", "3": "theirs"}


class MergeSide(NamedTuple):
    """One side: what it is called, and its commit. `is_alone`: that commit by itself, not all that led to it."""

    name: str
    commit: str | None
    is_alone: bool = False


class StoppedMerge(NamedTuple):
    """What is to be brought together, and the commit from which both come, where there is one."""

    ours: MergeSide
    theirs: MergeSide
    base: str | None = None


class Stages(NamedTuple):
    """A file in conflict: its path from the top, and the blobs of its three versions; None where one has no such
    file."""

    path: str
    base: str | None = None
    ours: str | None = None
    theirs: str | None = None

    @property
    def is_deleted(self) -> bool:
        """Whether one side deleted what the other changed."""
        return None in (self.ours, self.theirs)


def files_in_conflict(repository: Repository) -> list[Stages]:
    """The solos and lessons that git holds for undecided. Raises `GitError`."""
    found: dict[str, Stages] = {}
    for entry in filter(None, output(["ls-files", "--unmerged", "--full-name", "-z"], repository.top).split("\x00")):
        facts, _, path = entry.partition("\t")
        _, blob, stage = facts.split()
        if path.endswith((SUFFIX, LESSON_SUFFIX)):
            found[path] = found.get(path, Stages(path))._replace(**{_STAGES[stage]: blob})
    return [found[path] for path in sorted(found)]


def versions_of(repository: Repository, stages: Stages) -> tuple[Content, Content, Content]:
    """What the file is in the base, ours and theirs."""
    blobs = repository.blobs(filter(None, stages[1:]))
    base, ours, theirs = (blobs.get(name) if name else None for name in stages[1:])
    return base, ours, theirs


def stopped_merge(repository: Repository) -> StoppedMerge:
    """The sides of what git is at. Where it does not say (as after `git stash pop`) theirs has no commit."""
    here = repository.find("HEAD")
    if (folder := _rebase(repository)) is not None:
        onto, branch = _said(folder / "onto"), _said(folder / "head-name").removeprefix("refs/heads/")
        commit = repository.find("REBASE_HEAD")
        name = f"{branch}, commit {_short(commit)}" if branch and commit else branch or _short(commit)
        return StoppedMerge(MergeSide(_name(repository, onto or here), here), MergeSide(name, commit, is_alone=True))
    ours = MergeSide(_branch(repository) or _name(repository, here), here)
    if here and (commit := repository.find("MERGE_HEAD")):
        found = run(["merge-base", here, commit], repository.top, fine=(0, 1)).stdout.decode("ascii").split()
        return StoppedMerge(ours, MergeSide(_name(repository, commit), commit), found[0] if found else None)
    for head in ("CHERRY_PICK_HEAD", "REVERT_HEAD"):
        if commit := repository.find(head):
            undone = "without " if head == "REVERT_HEAD" else ""
            return StoppedMerge(ours, MergeSide(f"{undone}commit {_short(commit)}", commit, is_alone=True))
    return StoppedMerge(ours, MergeSide("", None))


def _rebase(repository: Repository) -> Path | None:
    """The folder in which git keeps a rebase that is not finished."""
    for name in ("rebase-merge", "rebase-apply"):
        folder = repository.top / output(["rev-parse", "--git-path", name], repository.top).rstrip("\n")
        if folder.is_dir():
            return folder
    return None


def _said(file: Path) -> str:
    try:
        return visible(file.read_text(encoding="utf-8", errors="replace").strip())
    except OSError:
        return ""


def _branch(repository: Repository) -> str:
    done = run(["symbolic-ref", "--quiet", "--short", "HEAD"], repository.top, fine=(0, 1))
    return visible(done.stdout.decode("utf-8", "replace").strip())


def _name(repository: Repository, commit: str | None) -> str:
    """A branch that ends at a commit, one of this clone before one of another; its short name where none does."""
    if commit is None:
        return ""
    command = ["for-each-ref", f"--points-at={commit}", "--format=%(refname:short)", "refs/heads", "refs/remotes"]
    names = output(command, repository.top).split("\n")
    return visible(names[0]) or f"commit {_short(commit)}"


def _short(commit: str | None) -> str:
    return commit[:SHORT] if commit else ""
