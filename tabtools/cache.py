"""Results kept from one run to the next, by the content they were made from.

They are kept in the user's own cache folder, never in a repository: what others contribute cannot get in there. The
file is trusted as far as the user's other files are, and no further: reading it makes records of ours and plain values,
and calls nothing else. Where nothing can be kept, or what is there is damaged, everything is made anew; nothing here
fails for it.
"""

from __future__ import annotations

import io
import pickle
import sqlite3
import zlib
from collections.abc import Iterable, Mapping
from contextlib import closing, suppress
from dataclasses import is_dataclass
from enum import Enum
from functools import cache
from hashlib import blake2b
from importlib.metadata import version
from pathlib import Path
from platform import python_version
from time import time
from typing import Any

import platformdirs

import tabtools

MOST_BYTES = 1024**3
DAYS = 90
"""Results that nobody asked for in so many days are forgotten."""

_NAME = "results-1.sqlite"
_LIBRARIES = ("lark", "markdown", "nh3")
_DIGEST_BYTES = 16
_SECONDS_OF_PATIENCE = 5
_TOGETHER = 500
_PLAIN = {
    "builtins": {"frozenset", "set"},
    "fractions": {"Fraction"},
    "collections": {"Counter"},
}


def made_by(*parts: str) -> str:
    """What makes results: the version, a digest of these parts of the package (without any, of all of it), as a
    checkout changes between versions, and the libraries and the Python whose work shows in results."""
    return _made_by(parts)


@cache
def _made_by(parts: tuple[str, ...]) -> str:
    package = Path(tabtools.__file__).parent
    modules = blake2b(digest_size=_DIGEST_BYTES)
    for part in parts or (".",):
        path = package / part
        for module in sorted(path.rglob("*.*")) if path.is_dir() else [path]:
            if module.suffix in (".py", ".lark") and module.is_file():
                modules.update(module.read_bytes())
    others = ", ".join(["Python " + python_version(), *(f"{name} {version(name)}" for name in _LIBRARIES)])
    return f"tabtools {tabtools.__version__} {modules.hexdigest()}, {others}"


def packed(record: Any) -> bytes:
    """A record, small."""
    return zlib.compress(pickle.dumps(record, protocol=5), level=1)


def unpacked(data: bytes) -> Any:
    """A record that was packed. Raises `pickle.UnpicklingError` for anything but records and plain values."""
    return _Records(io.BytesIO(zlib.decompress(data))).load()


class Keeping:
    """Results by key, `key` makes them. One object serves one run."""

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

    def known(self, keys: Iterable[bytes]) -> dict[bytes, Any]:
        """The results that are kept under these keys."""
        wanted = list(dict.fromkeys(keys))
        if self._path is None or not wanted:
            return {}
        try:
            if not self._path.exists():
                return {}
            with closing(self._opened()) as kept:
                return dict(self._found(kept, wanted))
        except (sqlite3.Error, OSError):
            return {}

    def keep(self, results: Mapping[bytes, Any]) -> None:
        """Keep results, and forget what has not been asked for in a long time."""
        if self._path is None or not results:
            return
        rows = [(key, pickle.dumps(result, protocol=5), _today()) for key, result in results.items()]
        for is_last in (False, True):
            try:
                self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                with closing(self._opened()) as kept, kept:
                    kept.execute("CREATE TABLE IF NOT EXISTS result (key BLOB PRIMARY KEY, made BLOB, day INTEGER)")
                    kept.executemany("INSERT OR REPLACE INTO result VALUES (?, ?, ?)", rows)
                    _forget(kept)
                return
            except sqlite3.OperationalError:
                return
            except sqlite3.DatabaseError:
                if is_last or not self._dropped():
                    return
            except OSError:
                return

    def _opened(self) -> sqlite3.Connection:
        kept = sqlite3.connect(self._path, timeout=_SECONDS_OF_PATIENCE)
        kept.execute("PRAGMA synchronous = OFF")
        return kept

    def _found(self, kept: sqlite3.Connection, keys: list[bytes]) -> Iterable[tuple[bytes, Any]]:
        today = _today()
        for start in range(0, len(keys), _TOGETHER):
            some = keys[start : start + _TOGETHER]
            among = f"({', '.join('?' * len(some))})"
            stale = []
            for key, made, day in kept.execute(f"SELECT key, made, day FROM result WHERE key IN {among}", some):
                if day != today:
                    stale.append((today, key))
                try:
                    yield key, _Records(io.BytesIO(made)).load()
                except Exception:
                    continue
            if stale:
                with suppress(sqlite3.Error), kept:
                    kept.executemany("UPDATE result SET day = ? WHERE key = ?", stale)

    def _dropped(self) -> bool:
        """Delete a file that is no store of results."""
        try:
            self._path.unlink()
        except OSError:
            return False
        return True


KEEPING_NOTHING = Keeping(None)


def users_keeping() -> Keeping:
    """The results kept for this user."""
    return Keeping(platformdirs.user_cache_path("tabtools") / _NAME)


def _forget(kept: sqlite3.Connection) -> None:
    kept.execute("DELETE FROM result WHERE day < ?", (_today() - DAYS,))
    size = kept.execute("SELECT TOTAL(LENGTH(made)) FROM result").fetchone()[0]
    if size > MOST_BYTES:
        kept.execute("DELETE FROM result WHERE day < ?", (_today(),))


def _today() -> int:
    return int(time() // 86_400)


class _Records(pickle.Unpickler):
    """Reads plain values and records of this package; a pickle that asks for anything else is refused.

    Source: “Restricting Globals” in the documentation of Python's `pickle`.
    """

    def find_class(self, module: str, name: str) -> Any:
        if name in _PLAIN.get(module, ()):
            return super().find_class(module, name)
        if module.startswith("tabtools.") and not module.endswith("__main__"):
            found = super().find_class(module, name)
            is_ours = isinstance(found, type) and found.__module__ == module
            if is_ours and (is_dataclass(found) or issubclass(found, tuple | Enum)):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no record")
