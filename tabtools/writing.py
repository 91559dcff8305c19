"""Writing files: whole or not at all, and over nothing but plain files.

Everything this package leaves on a disk is written here, but for the pages of a site, which can be made anew, and the
cache. A file is written beside its place under a name of ours and then put there in one step: whoever looks, and
whatever breaks off, sees the old file or the new one. What a killed write leaves under our name is deleted by a later
one in the same folder.
"""

from __future__ import annotations

import errno
import os
import stat
import tempfile
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path
from time import time

PREFIX, SUFFIX = ".tabtools-", ".tmp"
"""The name a file has until it is whole. It is short: the longest name that a disk can hold stays possible."""
STALE_SECONDS = 3600
"""No write takes that long: what stands under our name after it was left by one that was killed."""

_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


class ChangedError(Exception):
    """A file that was saved by somebody else since it was read. It is left as it is."""


def what_is_there(path: Path) -> str:
    """What keeps a path from being written, like `a pipe` or `a link to nothing`; empty where nothing does.

    Raises `OSError` for paths that cannot be.
    """
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return "a link to nothing" if path.is_symlink() else ""
    return "" if stat.S_ISREG(mode) else next((kind for is_one, kind in _KINDS if is_one(mode)), "no plain file")


def holds(path: Path, content: bytes | None) -> bool:
    """Whether a file has just this content; with None, whether nothing is there."""
    try:
        return not os.path.lexists(path) if content is None else path.is_file() and path.read_bytes() == content
    except OSError:
        return False


def write_atomically(
    path: Path, content: str | bytes, *, may_replace: bool = True, is_still: Callable[[], bool] | None = None
) -> None:
    """Write a file, its folder made where need be, so that at every moment the old or the new one is there, whole.

    Where `path` is a link, the file it leads to is written. A file that is replaced keeps its mode, and its owner and
    group where the user may give files to them. `is_still` is asked last, and says whether the file there is still
    the one that `content` was made from; where it is not, and does not hold this content already, `ChangedError` is
    raised. Raises `OSError` for what cannot be written, a link to nothing and all that is no plain file included, and
    `FileExistsError` where something is there that `may_replace` does not allow to replace. Whenever it raises,
    nothing is left behind.
    """
    if kind := what_is_there(path):
        raise OSError(errno.EINVAL, f"it is {kind}", str(path))
    place = path.resolve()
    facts = place.stat() if place.exists() else None
    if facts is not None and not may_replace:
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
    if facts is not None and not os.access(place, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
    data = content.encode("utf-8") if isinstance(content, str) else content
    made = _missing_folders(place.parent)
    temporary = None
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        _delete_leftovers(place.parent)
        temporary, descriptor = _temporary_in(place.parent)
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        _hand_over(temporary, facts)
        if is_still is not None and not is_still() and not holds(place, data):
            raise ChangedError("it changed in the meantime")
        _put(temporary, place, may_replace)
    except BaseException:
        _undo(temporary, made)
        raise


def _missing_folders(folder: Path) -> list[Path]:
    """The folders that have to be made for this one, the innermost first."""
    return [one for one in (folder, *folder.parents) if not one.exists()]


def _temporary_in(folder: Path) -> tuple[Path, int]:
    """A new file under a name of ours, and its descriptor."""
    try:
        descriptor, name = tempfile.mkstemp(prefix=PREFIX, suffix=SUFFIX, dir=folder)
    except PermissionError as error:
        raise PermissionError(error.errno, "no file can be made in its folder", str(folder)) from None
    return Path(name), descriptor


def _undo(temporary: Path | None, folders: list[Path]) -> None:
    with suppress(OSError):
        if temporary is not None:
            temporary.unlink(missing_ok=True)
        for folder in folders:
            folder.rmdir()


def _hand_over(file: Path, facts: os.stat_result | None) -> None:
    """Give a new file the owner, group and mode of the one it replaces, or a new file's mode where it replaces none."""
    if facts is None:
        file.chmod(0o666 & ~_umask())
        return
    if hasattr(os, "chown"):
        for owner in ((-1, facts.st_gid), (facts.st_uid, -1)):
            with suppress(PermissionError):
                os.chown(file, *owner)
    file.chmod(facts.st_mode & 0o777)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _put(file: Path, place: Path, may_replace: bool) -> None:
    """Give a finished file its place. Raises `FileExistsError` where that is taken and may not be replaced.

    Where the disk's format does not know two names of one file, that is looked for just before.
    """
    if not may_replace:
        try:
            os.link(file, place)
        except OSError as error:
            if os.path.lexists(place):
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(place)) from error
        else:
            file.unlink()
            return
    file.replace(place)


@cache
def _delete_leftovers(folder: Path) -> None:
    """Delete what writes that were killed left here long ago; looked for once in a run."""
    before = time() - STALE_SECONDS
    with suppress(OSError):
        for file in folder.glob(f"{PREFIX}*{SUFFIX}"):
            facts = file.lstat()
            if stat.S_ISREG(facts.st_mode) and facts.st_mtime < before:
                file.unlink()
