"""A store of results, by keys that say what they were made from."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from hashlib import blake2b
from pathlib import Path
from time import time
from typing import TypeVar

from tabtools.cache.folder import DAYS, users_folder
from tabtools.cache.maker import made_by
from tabtools.cache.records import sealed, unsealed

MOST_BYTES = 1024**3

_NAME = "results-1.sqlite"
_DIGEST_BYTES = 16
_SECONDS_OF_PATIENCE = 0.5
_TABLE = "CREATE TABLE result (key BLOB PRIMARY KEY, made BLOB, day INTEGER)"
_TOGETHER = 500

Result = TypeVar("Result")


class Keeping:
    """Results by key, `key` makes them. One object serves one run.

    A store that cannot be used is given up for the rest of the run, a damaged one is begun anew.
    """

    def __init__(self, path: Path | None):
        """`path` is the file that results are kept in, None for keeping none."""
        self._path = path

    def key(self, kind: str, *made_from: str) -> bytes:
        """The key of a result of some kind: a digest of the maker and of every text it is made from."""
        digest = blake2b(digest_size=_DIGEST_BYTES)
        for text in (made_by(), kind, *made_from):
            data = text.encode("utf-8", "surrogatepass")
            digest.update(len(data).to_bytes(8, "big") + data)
        return digest.digest()

    def known(self, keys: Iterable[bytes], kind: type[Result]) -> dict[bytes, Result]:
        """The results of this kind that are kept under these keys."""
        wanted = list(dict.fromkeys(keys))
        found: dict[bytes, Result] = {}

        def look(kept: sqlite3.Connection) -> None:
            stale = []
            for key, made, day in _rows(kept, wanted):
                result = unsealed(key, made)
                if result is not None and isinstance(result, kind):
                    found[key] = result
                if day != _today():
                    stale.append((_today(), key))
            if stale:
                with kept:
                    kept.executemany("UPDATE result SET day = ? WHERE key = ?", stale)

        if wanted:
            self._use(look, is_new=False)
        return found

    def keep(self, results: Mapping[bytes, object]) -> None:
        """Keep results, and forget what has not been asked for in a long time."""

        def add(kept: sqlite3.Connection) -> None:
            rows = [(key, sealed(key, result), _today()) for key, result in results.items()]
            with kept:
                kept.executemany("INSERT OR REPLACE INTO result VALUES (?, ?, ?)", rows)
                _forget(kept)

        if results:
            self._use(add, is_new=True)

    def _use(self, work: Callable[[sqlite3.Connection], None], is_new: bool) -> None:
        """Do something with the store; `is_new` says that there may be none yet."""
        if self._path is None:
            return
        try:
            if is_new:
                self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            elif not self._path.exists():
                return
            try:
                _with_store(self._path, work)
            except sqlite3.Error as error:
                if not _is_damage(error):
                    raise
                _remove(self._path)
                _with_store(self._path, work)
        except (sqlite3.Error, OSError):
            self._path = None


KEEPING_NOTHING = Keeping(None)


def users_keeping() -> Keeping:
    """The results kept for this user."""
    folder = users_folder()
    return Keeping(folder / _NAME) if folder else KEEPING_NOTHING


# ---- the store


class _OtherStoreError(sqlite3.DatabaseError):
    """A store whose table is another than ours."""


def _with_store(path: Path, work: Callable[[sqlite3.Connection], None]) -> None:
    with closing(sqlite3.connect(path, timeout=_SECONDS_OF_PATIENCE)) as kept:
        kept.text_factory = bytes
        kept.execute("PRAGMA synchronous = OFF")
        table = kept.execute("SELECT sql FROM sqlite_master WHERE name = 'result'").fetchone()
        if table is None:
            kept.execute(_TABLE.replace("TABLE", "TABLE IF NOT EXISTS"))
        elif table != (_TABLE.encode(),):
            raise _OtherStoreError
        work(kept)


def _is_damage(error: sqlite3.Error) -> bool:
    """Whether the file is no store, or no whole one. Source: “Result and Error Codes” in SQLite's documentation."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    return isinstance(error, _OtherStoreError) or code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def _remove(path: Path) -> None:
    """Delete a store, and what SQLite would take for the rest of an unfinished change to the next one."""
    for suffix in ("-journal", "-wal", "-shm", ""):
        path.with_name(path.name + suffix).unlink(missing_ok=True)


def _rows(kept: sqlite3.Connection, keys: Sequence[bytes]) -> Iterator[tuple[bytes, object, object]]:
    for start in range(0, len(keys), _TOGETHER):
        some = keys[start : start + _TOGETHER]
        among = f"({', '.join('?' * len(some))})"
        yield from kept.execute(f"SELECT key, made, day FROM result WHERE key IN {among}", some)


def _forget(kept: sqlite3.Connection) -> None:
    kept.execute("DELETE FROM result WHERE day < ?", (_today() - DAYS,))
    size = kept.execute("SELECT TOTAL(LENGTH(made)) FROM result").fetchone()[0]
    if size > MOST_BYTES:
        kept.execute("DELETE FROM result WHERE day < ?", (_today(),))


def _today() -> int:
    return int(time() // 86_400)
