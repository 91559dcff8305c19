"""Why git does not tell the whole past of a folder, and what to do about it."""

from __future__ import annotations

import os
from pathlib import Path

from tabtools.review.git import GitError, NoCommits, NoGitError, NoRepository
from tabtools.source import visible

SHALLOW = GitError(
    "this clone is shallow: it holds only the latest commits",
    "fetch the rest with git fetch --unshallow; in a workflow, fetch-depth: 0 at the checkout does it",
)
LOST_TEXTS = GitError(
    "git lacks texts of earlier versions",
    "a clone with a filter fetches them with git fetch --refetch --no-filter; git fsck finds what is damaged",
)


def why_missing(folder: Path, fault: GitError) -> GitError | None:
    """What is wrong where git answered for a folder with this fault.

    None where nothing is: a folder outside of any repository, and one in which nothing is committed, have no past.
    """
    top = _marked_folder(folder)
    if top is None or isinstance(fault, NoCommits):
        return None
    if isinstance(fault, NoGitError):
        return GitError(fault.message, "install git")
    if isinstance(fault, NoRepository):
        return GitError(
            f"there is a .git in {visible(top.name or str(top))}, but git finds no repository in it",
            "git status tells more; a copy made without the whole .git folder has no history",
        )
    if not fault.advice:
        return GitError(fault.message, "git fsck finds what is damaged; a fresh clone mends it")
    return fault


def _marked_folder(folder: Path) -> Path | None:
    """The nearest folder from here upwards that has a `.git`."""
    whole = folder.resolve()
    return next((one for one in (whole, *whole.parents) if os.path.lexists(one / ".git")), None)
