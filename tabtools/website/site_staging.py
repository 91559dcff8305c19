"""A new site is built beside the old one and takes its place when it is whole.

Whenever a build is broken off, the folder of the site holds the old site or the new one. What such a build leaves
beside that folder, the next build into it clears away.
"""

from __future__ import annotations

import errno
import os
import secrets
import shutil
import stat
import sys
from collections.abc import Callable
from pathlib import Path

from tabtools.files import from_here, shown_name
from tabtools.lock import Lock
from tabtools.website.site_folder import MARK, SiteFolderError, check_content, files_within, is_filled, mark, refusal

_FROM_WORKING_FOLDER, _EXCHANGE = -100, 2
_CANNOT_EXCHANGE = (errno.EINVAL, errno.ENOSYS, errno.ENOTSUP)
_NOT_EMPTY = (errno.ENOTEMPTY, errno.EEXIST)
_FIXED = (errno.EBUSY, errno.EXDEV)
_FULL = (errno.ENOSPC, errno.EDQUOT)


class Staging:
    """A site in the making: built in `folder`, to stand at `target`. Other builds for the same place wait."""

    def __init__(self, target: Path, waiting: Callable[[], None]) -> None:
        """Begin a site; `waiting` is called before another build is waited for.

        Raises `SiteFolderError` where `target` holds what is no site of ours, or nothing can be written beside it.
        """
        self.target = target
        self._beside = next(parent for parent in target.parents if parent.is_dir())
        self._aside = self._named("old")
        self.folder = self._named(secrets.token_hex(4))
        self._lock: Lock | None = None
        try:
            self._lock = Lock(self._named("lock"), waiting)
            self._clear()
            check_content(target)
            self.folder.mkdir()
        except OSError as error:
            self.drop()
            raise self._unwritten(error) from None
        except SiteFolderError:
            self.drop()
            raise

    def put_in_place(self) -> None:
        """Let the finished site take the place of the old one. Raises `SiteFolderError`; the old one stands then."""
        try:
            kept = check_content(self.target)
            (self.folder / MARK).write_text(mark(files_within(self.folder)), encoding="utf-8")
            for name in kept:
                self._keep(name)
            if self.target.is_dir():
                self.folder.chmod(stat.S_IMODE(self.target.stat().st_mode))
            self.target.parent.mkdir(parents=True, exist_ok=True)
            self._swap()
        except OSError as error:
            raise self._unwritten(error) from None
        finally:
            self.drop()

    def drop(self) -> None:
        """Remove what is not, or no longer, the site, and let other builds go on."""
        shutil.rmtree(self.folder, ignore_errors=True)
        if self._lock is not None:
            self._lock.release()

    def _named(self, what: str) -> Path:
        return self._beside / f".{self.target.name}.tabtools-{what}"

    def _clear(self) -> None:
        """Mend what a build that was broken off has left."""
        if self._aside.is_dir() and not is_filled(self.target):
            self._aside.rename(self.target)
        start = self._named("").name
        for path in self._beside.iterdir():
            if path.name.startswith(start) and path.is_dir() and not path.is_symlink():
                shutil.rmtree(path, ignore_errors=True)

    def _keep(self, name: str) -> None:
        new = self.folder / name
        if not os.path.lexists(new):
            new.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(self.target / name, new, follow_symlinks=False)

    def _swap(self) -> None:
        """Two folders change places in one step; where the disk cannot do that, in two, which `_clear` can mend."""
        if not is_filled(self.target):
            self.folder.rename(self.target)
        elif not _exchanged(self.folder, self.target):
            self.target.rename(self._aside)
            try:
                self.folder.rename(self.target)
            except OSError:
                self._aside.rename(self.target)
                raise
            shutil.rmtree(self._aside, ignore_errors=True)

    def _unwritten(self, error: OSError) -> SiteFolderError:
        reason = (error.strerror or str(error)).lower()
        if error.errno in _FIXED:
            return refusal(self.target, f"it cannot be replaced as a whole ({reason})", "name a folder within it")
        why = f"a new site is made beside the old one, in {shown_name(from_here(self._beside))}: {reason}"
        is_full = error.errno in _FULL
        return refusal(self.target, why, "make room there" if is_full else "name a folder beside which you may write")


def _exchanged(one: Path, other: Path) -> bool:
    """Give two folders each other's name in one step; False where the system or the disk cannot do that.

    Source: renameat2(2), Linux.
    """
    if sys.platform != "linux":
        return False
    import ctypes

    try:
        renameat2 = ctypes.CDLL(None, use_errno=True).renameat2
    except AttributeError:
        return False
    renameat2.argtypes = (ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_uint)
    here = _FROM_WORKING_FOLDER
    if renameat2(here, os.fsencode(one), here, os.fsencode(other), _EXCHANGE) == 0:
        return True
    number = ctypes.get_errno()
    if number in _CANNOT_EXCHANGE:
        return False
    raise OSError(number, os.strerror(number), str(other))
