"""What has changed among files, seen by looking again: it works on every disk and for every editor."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path
from time import sleep

State = tuple[int, int, int]
"""When a file was changed, its size, and which file it is."""
SETTLING = 0.03
"""Seconds after which a file that is being written is looked at again."""
MOST_LOOKS = 20
COARSENESS = 20_000_000
"""Nanoseconds by which a file's time may be behind the clock: systems keep it in ticks."""


class Watch:
    """Files and folders that are looked at. What is there when a path is `added` is no change."""

    def __init__(self) -> None:
        self._paths: set[Path] = set()
        self._seen: dict[str, State] = {}

    def add(self, paths: Iterable[Path], since: int | None = None) -> None:
        """Look at these too. What was written `since` that time, in nanoseconds of the clock, is a change."""
        fresh = {path.absolute() for path in paths} - self._paths
        self._paths |= fresh
        states = _states(fresh)
        if since is not None:
            states = (one for one in states if one[1][0] < since - COARSENESS)
        self._seen = dict(states) | self._seen

    def changes(self) -> set[Path]:
        """The files that came, went or changed since the last look, once they have stayed as they are for a moment."""
        now = dict(_states(self._paths))
        if now == self._seen:
            return set()
        for _ in range(MOST_LOOKS):
            sleep(SETTLING)
            before, now = now, dict(_states(self._paths))
            if now == before and not _is_begun(now, self._seen):
                break
        changed = {Path(path) for path, _ in now.items() ^ self._seen.items()}
        self._seen = now
        return changed


def _is_begun(now: dict[str, State], seen: dict[str, State]) -> bool:
    """Whether a file has just been emptied: most programs then write into it what they save."""
    return any(size == 0 and seen.get(path, (0, 1, 0))[1] for path, (_, size, _) in now.items())


def _states(paths: Iterable[Path]) -> Iterator[tuple[str, State]]:
    for path in paths:
        try:
            if path.is_dir():
                yield from _within(str(path))
            else:
                yield str(path), _state(path.stat())
        except OSError:
            continue


def _within(folder: str) -> Iterator[tuple[str, State]]:
    """Everything within a folder but what begins with a dot. What cannot be looked at is not there."""
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.name.startswith("."):
                    continue
                if entry.is_dir(follow_symlinks=False):
                    yield from _within(entry.path)
                else:
                    try:
                        yield entry.path, _state(entry.stat())
                    except OSError:
                        continue
    except OSError:
        return


def _state(found: os.stat_result) -> State:
    return found.st_mtime_ns, found.st_size, found.st_ino
