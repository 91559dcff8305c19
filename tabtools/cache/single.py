"""One result in a file of its own: read in less time than a store is opened."""

from __future__ import annotations

from contextlib import suppress
from hashlib import blake2b
from time import time
from typing import Any

from tabtools.cache.folder import DAYS, users_folder
from tabtools.cache.records import sealed, unsealed

_DIGEST_BYTES = 16
_SECONDS_A_DAY = 86_400


class KeptFile:
    """A result by its name and the texts it is made from; one that is made from other texts has a file of its own."""

    def __init__(self, name: str, *made_from: str):
        digest = blake2b(digest_size=_DIGEST_BYTES)
        for text in made_from:
            data = text.encode("utf-8")
            digest.update(len(data).to_bytes(8, "big") + data)
        self._key = digest.digest()
        self._name = name
        folder = users_folder()
        self._path = folder / f"{name}-{self._key.hex()}" if folder else None

    def known(self) -> Any:
        """The result, None where none is kept, or what is there is not what was put there."""
        try:
            if self._path is None or not self._path.is_file():
                return None
            return unsealed(self._key, self._path.read_bytes())
        except OSError:
            return None

    def keep(self, result: object) -> None:
        """Keep the result, and forget those of this name that are old."""
        if self._path is None:
            return
        with suppress(OSError):
            if self._path.exists() and not self._path.is_file():
                return
            self._path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._path.write_bytes(sealed(self._key, result))
            for other in self._path.parent.glob(f"{self._name}-*"):
                if time() - other.stat().st_mtime > DAYS * _SECONDS_A_DAY:
                    other.unlink()
