"""Search a set of files: strokes from the index of the repository, the index kept.

The index is the file `.tabtools/search` in the folder of the repository's settings. There it goes with the solos it
was made from: nothing of a repository stays behind when it is deleted, two repositories never get into each other's
way, and a continuous build can keep it with its other caches. The folder holds its own `.gitignore`, so that it never
gets into a commit, whatever the repository's own says. It is replaced whole: of two searches that write at one time
the last one wins, and what only the other knew is read again. Where it cannot be written, searches take longer; links
are not followed.
"""

from __future__ import annotations

import stat
from collections.abc import Iterable
from pathlib import Path

from tabtools.files import Unread
from tabtools.search.collection import Searched
from tabtools.search.index import Index
from tabtools.search.strokes import Strokes
from tabtools.source import SourceText
from tabtools.writing import write_atomically

FOLDER = ".tabtools"
NAME = "search"
MOST_BYTES = 512 * 1024 * 1024


def read_solos(sources: Iterable[SourceText | Unread], root: Path | None, is_complete: bool) -> list[Searched]:
    """The solos of these files as searching sees them; files that could not be taken as text are passed over.

    `root` is the folder that holds the index, None for no index; `is_complete` says that these are all the solos of
    the repository, so that the index forgets any other.
    """
    index = Index(_kept(root) if root else b"", _read_from)
    is_through = False
    try:
        solos = [
            Searched(source.path, Path(source.path).stem, index.strokes(source))
            for source in sources
            if not isinstance(source, Unread)
        ]
        is_through = True
    finally:
        if root and index.is_outdated(is_complete and is_through):
            _keep(root, index.content(is_complete and is_through))
    return solos


def _read_from(source: SourceText) -> Strokes:
    from tabtools.checks.subject import subject_of
    from tabtools.search.reading import strokes_of

    return strokes_of(subject_of(source))


def _kept(root: Path) -> bytes:
    """The content of the index, empty where there is none to be used."""
    path = root / FOLDER / NAME
    try:
        facts = path.lstat()
        if path.parent.is_symlink() or not stat.S_ISREG(facts.st_mode) or facts.st_size > MOST_BYTES:
            return b""
        return path.read_bytes()
    except OSError:
        return b""


def _keep(root: Path, content: bytes) -> None:
    folder = root / FOLDER
    try:
        folder.mkdir(exist_ok=True)
        if folder.is_symlink() or (folder / NAME).is_symlink():
            return
        if not (folder / ".gitignore").exists():
            write_atomically(folder / ".gitignore", "*\n")
        write_atomically(folder / NAME, content)
    except OSError:
        return
