"""What git remembers of a whole collection, in one reading: every change of every solo, on whose word.

Where there is no git, or only a part of its history, there is less to tell; nothing here fails for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from tabtools.model.solo import Bar, Like
from tabtools.review.align import align, numbers_of
from tabtools.review.change import Comparison, ReadVersion, read_version
from tabtools.review.compare import compare
from tabtools.review.git import GitFault, output
from tabtools.review.history import FIELDS, Commit, commit_of, edges_of
from tabtools.review.revisions import Repository, repository_at
from tabtools.source import SourceError, decode

SUFFIX = ".solo"
MOST_COMMITS = 5_000
MOST_OF_ONE = 20
MOST_RECENT = 50
_TOGETHER = 40


class Touch(NamedTuple):
    """A commit that touched a solo: its name then, and its text before and after as blobs, None where there is none."""

    commit: Commit
    path: str
    old: str | None
    new: str | None


class Remembered(NamedTuple):
    """A commit that changed the music of a solo.

    `path` is the solo's name now. `comparison` is None where the solo is new (`is_new`), and where a side cannot be
    read as music. `bars` are the numbers, as they are now, of the bars it changed; those that are gone are missing.
    """

    path: str
    commit: Commit
    comparison: Comparison | None
    is_new: bool = False
    bars: tuple[int, ...] = ()


@dataclass
class Memory:
    """The touches of every solo, the latest first, by its name now (from the top of the repository).

    `is_cut` says that there is more than is known here. Without a repository nothing is remembered.
    """

    repository: Repository | None = None
    touches: list[tuple[str, Touch]] = field(default_factory=list)
    is_cut: bool = False
    _versions: dict[str, ReadVersion | None] = field(default_factory=dict, repr=False)
    _by_path: dict[str, list[Touch]] = field(default_factory=dict, repr=False)

    def knows(self, path: str) -> bool:
        """Whether any commit of a solo is known."""
        return bool(self._of(path))

    def of_solo(self, path: str, now: Callable[[], ReadVersion] | None = None) -> list[Remembered]:
        """What changed the music of one solo, the latest first. `now` reads the solo as it stands, to name its bars;
        it is asked only where there is a correction."""
        own = [(path, touch) for touch in self._of(path)]
        is_corrected = any(touch.old for _, touch in own)
        return list(islice(self._remembered(own, {path: now()} if now and is_corrected else {}), MOST_OF_ONE))

    def recent(self, most: int = MOST_RECENT, among: Iterable[str] | None = None) -> list[Remembered]:
        """The latest corrections of all solos (or of those among some names); new solos are none."""
        names = None if among is None else frozenset(among)
        own = [(path, touch) for path, touch in self.touches if names is None or path in names]
        return list(islice((one for one in self._remembered(own, {}) if not one.is_new), most))

    def _of(self, path: str) -> list[Touch]:
        if not self._by_path:
            for name, touch in self.touches:
                self._by_path.setdefault(name, []).append(touch)
        return self._by_path.get(path, [])

    def _remembered(self, own: list[tuple[str, Touch]], now: dict[str, ReadVersion]) -> Iterator[Remembered]:
        latest = dict(now)
        for start in range(0, len(own), _TOGETHER):
            some = own[start : start + _TOGETHER]
            self._read(blob for _, touch in some if touch.old for blob in (touch.old, touch.new) if blob)
            for path, touch in some:
                after = self._versions.get(touch.new or "")
                if after is not None and path not in latest:
                    latest[path] = after
                found = self._entry(path, touch, after, latest.get(path))
                if found is not None:
                    yield found

    def _entry(self, path: str, touch: Touch, after: ReadVersion | None, now: ReadVersion | None) -> Remembered | None:
        if touch.old is None:
            return Remembered(path, touch.commit, None, True)
        before = self._versions.get(touch.old)
        if before is None or after is None or not (before.is_whole and after.is_whole):
            return Remembered(path, touch.commit, None)
        comparison = compare(before, after)
        if not comparison.is_music:
            return None
        return Remembered(path, touch.commit, comparison, False, tuple(_bars(comparison, now)))

    def _read(self, blobs: Iterable[str]) -> None:
        """Read these versions, and forget those read before that are not among them."""
        wanted = set(blobs)
        self._versions = {blob: version for blob, version in self._versions.items() if blob in wanted}
        missing = wanted - self._versions.keys()
        try:
            contents = self.repository.blobs(sorted(missing)) if self.repository else {}
        except GitFault:
            contents = {}
        self._versions.update({blob: _version(contents.get(blob)) for blob in missing})


def memory_of(folder: Path) -> Memory:
    """What git knows of the solos in a folder; an empty memory where it knows nothing. Never fails."""
    try:
        repository = repository_at(folder)
        if not repository.has_commits():
            return Memory(repository)
        within = folder.resolve().relative_to(repository.top.resolve()).as_posix()
        return _memory(repository, within)
    except (GitFault, OSError, ValueError):
        return Memory()


def _memory(repository: Repository, within: str) -> Memory:
    edges = edges_of(repository)
    command = ["log", "-z", "--raw", "--no-abbrev", "--no-ext-diff", "--find-renames=40%", "-l2000"]
    form = "%x00".join(FIELDS)
    words = output([*command, f"--max-count={MOST_COMMITS}", f"--format={form}", "--", within], repository.top)
    memory = Memory(repository)
    now: dict[str, str] = {}
    seen: set[str] = set()
    for commit, changes in _commits(words.split("\x00")):
        seen.add(commit.name)
        if commit.name in edges:
            memory.is_cut = True
            continue
        renamed: dict[str, str] = {}
        for old_path, path, old, new in changes:
            name = now.get(path, path)
            if new is not None and path.endswith(SUFFIX) and old != new:
                memory.touches.append((name, Touch(commit, path, old, new)))
            if old_path != path:
                renamed[old_path] = name
        now.update(renamed)
    memory.is_cut = memory.is_cut or len(seen) >= MOST_COMMITS
    return memory


_Change = tuple[str, str, str | None, str | None]


def _commits(words: list[str]) -> Iterator[tuple[Commit, list[_Change]]]:
    """Each commit with the files it changed: names before and after, blobs before and after."""
    at = 0
    while at + len(FIELDS) <= len(words):
        commit, _ = commit_of(words[at : at + len(FIELDS)])
        at += len(FIELDS)
        changes: list[_Change] = []
        while at < len(words) and words[at].lstrip("\n").startswith(":"):
            _, mode, old, new, status = words[at].lstrip("\n").split(" ")
            names = words[at + 1 : at + (3 if status[0] in "RC" else 2)]
            at += 1 + len(names)
            if mode != "120000":
                old_path = names[0] if status[0] == "R" else names[-1]
                changes.append((old_path, names[-1], _blob("" if status[0] == "C" else old), _blob(new)))
        yield commit, changes


def _blob(name: str) -> str | None:
    return name if name.strip("0") else None


def _version(content: bytes | SourceError | None) -> ReadVersion | None:
    if not isinstance(content, bytes):
        return None
    try:
        return read_version(decode(content, ""))
    except SourceError:
        return None


def _bars(comparison: Comparison, now: ReadVersion | None) -> Iterator[int]:
    """The bars that changed, by their numbers in the version of now."""
    after = comparison.after
    items = {change.site.new_item for change in comparison.changes if change.is_music}
    then = dict.fromkeys(
        number
        for item in sorted(one for one in items if one is not None)
        if isinstance(after.solo.items[item], Bar | Like)
        for number in numbers_of(after.solo.items[item])
    )
    if now is None or now.solo is after.solo:
        yield from then
        return
    numbers = align(after.solo, now.solo).bar_numbers(after.solo, now.solo)
    yield from (numbers[number] for number in then if number in numbers)
