"""The files that a merge left to be decided, and what git knows of each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tabtools.cli.exits import StopError, stopped
from tabtools.files import Unread, from_here, read_all
from tabtools.review.conflicts.stopped import (
    Stages,
    StoppedMerge,
    files_in_conflict,
    stopped_merge,
    versions_of,
)
from tabtools.review.git import GitError
from tabtools.review.revisions import Repository, repository_at
from tabtools.source import LESSON_SUFFIX, SUFFIX, SourceText, cut

if TYPE_CHECKING:
    from tabtools.review.conflicts.solo import Versions
    from tabtools.review.conflicts.who import ChangesOfSide


@dataclass(frozen=True)
class Undecided:
    """A solo or a lesson as it stands, and what git knows of it: `stages` is None where it holds it for decided."""

    source: SourceText
    repository: Repository | None = None
    stages: Stages | None = None
    merge: StoppedMerge | None = None

    @property
    def is_lesson(self) -> bool:
        return self.source.path.endswith(LESSON_SUFFIX)

    def versions(self) -> Versions | None:
        """The base, ours and theirs. Raises `GitError`."""
        return versions_of(self.repository, self.stages) if self.repository and self.stages else None

    def sides(self) -> tuple[ChangesOfSide, ...]:
        """What ours and theirs did to the file; empty where git does not know."""
        from tabtools.review.conflicts.who import ChangesOfSide

        if self.repository is None or self.stages is None or self.merge is None:
            return ()
        blobs = (self.merge.ours, self.stages.ours), (self.merge.theirs, self.stages.theirs)
        return tuple(
            ChangesOfSide(self.repository, side, self.merge.base, self.stages.path, blob) for side, blob in blobs
        )


def undecided(named: Sequence[Path]) -> Iterator[Undecided]:
    """The files named; without names, all solos and lessons that git holds for undecided and that are there."""
    for path in named:
        if path.suffix not in (SUFFIX, LESSON_SUFFIX):
            raise StopError(f"{cut(str(path))} is neither a solo nor the lesson of one")
    known: dict[Path, Stages] = {}
    repository = merge = None
    try:
        repository = repository_at(_folder(named))
        known = {(repository.top / one.path).resolve(): one for one in files_in_conflict(repository)}
        merge = stopped_merge(repository) if known else None
    except GitError as fault:
        if not named:
            raise stopped(fault) from None
    for source in read_all(named or [from_here(path) for path in known if path.is_file()]):
        if isinstance(source, Unread):
            raise StopError(f"{source.path}: {source.error.message}; {source.error.advice}")
        yield Undecided(source, repository, known.get(Path(source.path).resolve()), merge)


def _folder(named: Sequence[Path]) -> Path:
    folder = named[0].resolve().parent if named else Path.cwd()
    return folder if folder.is_dir() else Path.cwd()
