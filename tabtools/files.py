"""Finding solo files and reading them."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tabtools.source import LESSON_SUFFIX, SUFFIX, SourceError, SourceText, decode, read_source, visible


class MissingPathError(Exception):
    """A path named on the command line that is not there."""


def from_here(path: Path) -> Path:
    """A path as it is named from the working folder, where it lies within."""
    return path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path


def lesson_path(solo: str) -> str:
    """Where the lesson of a solo stands: beside it, under the same name."""
    return solo.removesuffix(SUFFIX) + LESSON_SUFFIX


@dataclass(frozen=True)
class Unread:
    """A file that could not be taken as text."""

    path: str
    error: SourceError


def solo_paths(paths: Iterable[Path]) -> Iterator[Path]:
    """The solo files named, and those within the folders named, each once.

    Folders whose name starts with a dot are passed over. Raises `MissingPathError`, also for a folder within that
    may not be looked into.
    """
    seen: set[Path] = set()
    for path in paths:
        try:
            is_there = path.exists() or path.is_symlink()
        except OSError as error:
            raise MissingPathError(f"{shown_name(path)} cannot be read: {_reason(error)}") from None
        if not is_there:
            raise MissingPathError(f"{shown_name(path)} is not there")
        for one in _within(path) if is_folder(path) else [path]:
            if one not in seen:
                seen.add(one)
                yield one


def is_folder(path: Path) -> bool:
    """Whether a path that may be anything at all is a folder."""
    try:
        return path.is_dir()
    except OSError:
        return False


def markdown_files(folders: Iterable[Path]) -> list[Path]:
    """The Markdown files within folders, each once. Raises `MissingPathError` for what may not be looked into."""
    found = {path.resolve(): path for folder in folders for path in _within(folder, LESSON_SUFFIX)}
    return sorted(found.values())


def _within(folder: Path, suffix: str = SUFFIX) -> list[Path]:
    def refuse(error: OSError) -> None:
        raise MissingPathError(f"the folder {shown_name(Path(error.filename))} cannot be read: {_reason(error)}")

    found: list[Path] = []
    for place, folders, names in os.walk(folder, onerror=refuse):
        found += [Path(place, name) for name in (*names, *folders) if name.endswith(suffix)]
        folders[:] = [name for name in folders if not name.startswith(".") and not name.endswith(suffix)]
    return sorted(found)


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def shown_name(path: Path) -> str:
    """A path as it can be shown, whatever bytes its name has."""
    return visible(str(path).encode("utf-8", "surrogateescape").decode("utf-8", "replace"))


def read_all(paths: Iterable[Path], folders: Iterable[Path] = ()) -> Iterator[SourceText | Unread]:
    """Each file as a source text, or why it is none. Links may not lead out of the folder they are found in."""
    roots = [folder.resolve() for folder in folders if folder.is_dir()]
    for path in paths:
        shown = shown_name(path)
        try:
            if shown != str(path):
                raise SourceError(
                    "the file's name has characters that cannot be shown", "rename it: letters-and-hyphens"
                )
            if roots and path.is_symlink() and _leads_out(path, roots):
                raise SourceError("the file is a link that leads out of its folder", "put the solo itself here")
            yield read_source(path)
        except SourceError as error:
            yield Unread(shown, error)


def _leads_out(link: Path, roots: list[Path]) -> bool:
    try:
        target = link.resolve(strict=True)
    except (OSError, RuntimeError):
        return False
    return not any(target.is_relative_to(root) for root in roots)


def is_still(source: SourceText) -> bool:
    """Whether the file that a text was read from still reads the same."""
    try:
        now = read_source(Path(source.path))
    except SourceError:
        return False
    return (now, now.had_bom, now.had_crlf) == (source, source.had_bom, source.had_crlf)


def read_bytes(data: bytes, name: str) -> SourceText | Unread:
    """Bytes from standard input as a source text, or why they are none."""
    try:
        return decode(data, name)
    except SourceError as error:
        return Unread(name, error)
