"""One process at a time."""

from __future__ import annotations

import errno
import fcntl
import os
from collections.abc import Callable
from pathlib import Path
from typing import Self


class Lock:
    """A file that one process at a time holds; gone when released, free when its process has ended.

    A process that is started meanwhile does not hold it, which tells `lockf` from `flock`.
    """

    def __init__(self, path: Path, waiting: Callable[[], None]) -> None:
        """Take the lock; `waiting` is called before another process is waited for. Raises `OSError`."""
        self._path = path
        self._descriptor: int | None = None
        while self._descriptor is None:
            descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW | os.O_NONBLOCK, 0o666)
            try:
                _lock(descriptor, waiting)
                self._descriptor = descriptor if self._is_there(descriptor) else None
            finally:
                if self._descriptor is None:
                    os.close(descriptor)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.release()

    def release(self) -> None:
        """Let the next one have it."""
        if self._descriptor is not None:
            self._path.unlink(missing_ok=True)
            os.close(self._descriptor)
            self._descriptor = None

    def _is_there(self, descriptor: int) -> bool:
        """Whether the file that was locked is still the one of this name: its holder may have removed it."""
        try:
            return os.path.samestat(os.fstat(descriptor), os.lstat(self._path))
        except FileNotFoundError:
            return False


def _lock(descriptor: int, waiting: Callable[[], None]) -> None:
    try:
        fcntl.lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno not in (errno.EACCES, errno.EAGAIN):
            raise
        waiting()
        fcntl.lockf(descriptor, fcntl.LOCK_EX)
