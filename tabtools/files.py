"""Finding solo files and writing files whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tabtools.source import SourceError, SourceText, decode, read_source

SUFFIX = ".solo"


class MissingPath(Exception):
    """A path named on the command line that is not there."""


@dataclass(frozen=True)
class Unread:
    """A file that could not be taken as text."""

    path: str
    error: SourceError


def solo_paths(paths: Iterable[Path]) -> Iterator[Path]:
    """The solo files named, and those within the folders named, each once. Raises `MissingPath`."""
    seen: set[Path] = set()
    for path in paths:
        if not path.exists() and not path.is_symlink():
            raise MissingPath(f"{path} is not there")
        found = sorted(path.rglob(f"*{SUFFIX}")) if path.is_dir() else [path]
        for one in found:
            if one not in seen:
                seen.add(one)
                yield one


def read_all(paths: Iterable[Path], folders: Iterable[Path] = ()) -> Iterator[SourceText | Unread]:
    """Each file as a source text, or why it is none. Links may not lead out of the folder they are found in."""
    roots = [folder.resolve() for folder in folders if folder.is_dir()]
    for path in paths:
        try:
            if path.is_symlink() and roots and not any(path.resolve().is_relative_to(root) for root in roots):
                raise SourceError("the file is a link that leads out of its folder", "put the solo itself here")
            yield read_source(path)
        except SourceError as error:
            yield Unread(str(path), error)


def read_bytes(data: bytes, name: str) -> SourceText | Unread:
    """Bytes from standard input as a source text, or why they are none."""
    try:
        return decode(data, name)
    except SourceError as error:
        return Unread(name, error)


def write_atomically(path: Path, text: str) -> None:
    """Write a text file so that at every moment either the old or the new one is there, whole."""
    descriptor, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    temporary = Path(name)
    try:
        with os.fdopen(descriptor, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        mode = path.stat().st_mode if path.exists() else 0o666 & ~_umask()
        temporary.chmod(mode & 0o777)
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
