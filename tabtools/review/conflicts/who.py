"""Whose change a side of a conflict is: the commit that made it, with its author, its credits and its reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from tabtools.model.solo import Bar, Field, Like, numbers_of
from tabtools.review.align import align
from tabtools.review.blame import Blamed, blame
from tabtools.review.change import ReadVersion, read_version
from tabtools.review.conflicts.solo import Part
from tabtools.review.conflicts.stopped import MergeSide
from tabtools.review.git import output
from tabtools.review.git_log import Commit, git_log
from tabtools.review.history import History, history_of
from tabtools.review.revisions import Repository, text_of
from tabtools.source import SUFFIX


@dataclass(frozen=True)
class ChangesOfSide:
    """What one side did to a file since both parted at the commit `base`; `blob` is the file as it is there."""

    repository: Repository
    side: MergeSide
    base: str | None
    path: str
    blob: str | None

    def commit_of(self, parts: Iterable[Part], decided: ReadVersion | None) -> Commit | None:
        """Who last changed these parts of the solo as it is `decided` for this side; None where git does not know.

        Of what is gone, and of all but bars and fields, it is who last changed the file. Raises `GitError`.
        """
        if self.side.commit is None or self.side.is_alone:
            return self._last
        parts = list(parts)
        if decided is None or not parts or not self._path.endswith(SUFFIX):
            return self._last
        bars = [part for part in parts if isinstance(part, Bar | Like)]
        fields = [part for part in parts if isinstance(part, Field)]
        found = self._of_bars(bars, decided) if bars else self._of_field(fields[0]) if fields else None
        return found or self._last

    def _of_bars(self, bars: Iterable[Bar | Like], decided: ReadVersion) -> Commit | None:
        if self._own is None:
            return None
        wanted = {id(bar) for bar in bars}
        pairs = align(decided.solo, self._own.solo).pairs
        own = [self._own.solo.items[j] for i, j in pairs if id(decided.solo.items[i]) in wanted]
        numbers = {number for item in own if isinstance(item, Bar | Like) for number in numbers_of(item)}
        commits = [row.step.commit for row in self._blamed if row.step is not None and row.first in numbers]
        return max(commits, key=lambda commit: commit.when, default=None)

    def _of_field(self, field: Field) -> Commit | None:
        """The last commit before which the field said something else."""
        for step in self._history.steps.values():
            value = _value(self._history.version(step.key), field.name)
            if all(_value(self._history.version(parent), field.name) != value for parent in step.parents):
                return step.commit
        return None

    @cached_property
    def _blamed(self) -> list[Blamed]:
        assert self._own is not None
        return blame(self._history, self._own)

    @cached_property
    def _own(self) -> ReadVersion | None:
        """The file as this side has it."""
        source = text_of(self.repository.blobs([self.blob])[self.blob], self.path) if self.blob else None
        return read_version(source) if source else None

    @cached_property
    def _history(self) -> History:
        return history_of(self.repository, self._path, self.side.commit or "HEAD")

    @cached_property
    def _path(self) -> str:
        """What the file is called on this side."""
        assert self.side.commit is not None
        if self.blob is None or self.repository.kind(self.side.commit, self.path) == "blob":
            return self.path
        listed = output(["ls-tree", "-r", "-z", "--full-tree", self.side.commit], self.repository.top).split("\x00")
        same = (entry.partition("\t")[2] for entry in listed if f" {self.blob}\t" in entry)
        return next(same, self.path)

    @cached_property
    def _last(self) -> Commit | None:
        """The commit that stands for the side, or the last one since the two parted that changed the file."""
        if self.side.commit is None:
            return None
        if self.side.is_alone:
            found = git_log(self.repository.top, ["--max-count=1"], self.side.commit, "--")
        else:
            where = f"{self.base}..{self.side.commit}" if self.base else self.side.commit
            found = git_log(self.repository.top, ["--max-count=1"], where, "--", self._path)
        return found[0].commit if found else None


def _value(version: ReadVersion | None, name: str) -> list[str]:
    return [field.value for field in version.solo.fields if field.name == name] if version else []
