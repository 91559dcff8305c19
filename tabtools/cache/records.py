"""Results as bytes and back: records of this package and plain values, and nothing that could run."""

from __future__ import annotations

import io
import pickle
import zlib
from dataclasses import is_dataclass
from enum import Enum
from hashlib import blake2b
from typing import Any

_DIGEST_BYTES = 16
_PLAIN = {
    "builtins": {"frozenset", "set"},
    "fractions": {"Fraction"},
    "collections": {"Counter"},
    "markupsafe": {"Markup"},
}


def packed(record: Any) -> bytes:
    """A record, small."""
    return zlib.compress(pickle.dumps(record, protocol=5), level=1)


def unpacked(data: bytes) -> Any:
    """A record that was packed. Raises `pickle.UnpicklingError` for anything but records and plain values."""
    return _Records(io.BytesIO(zlib.decompress(data))).load()


def sealed(key: bytes, result: object) -> bytes:
    """A result behind a digest of it and of its key: what was damaged, or stands in another's place, is not taken."""
    data = pickle.dumps(result, protocol=5)
    return _seal(key, data) + data


def unsealed(key: bytes, kept: object) -> object:
    """The result; None where there is none."""
    if not isinstance(kept, bytes) or kept[:_DIGEST_BYTES] != _seal(key, kept[_DIGEST_BYTES:]):
        return None
    try:
        return _Records(io.BytesIO(kept[_DIGEST_BYTES:])).load()
    except Exception:  # a forged pickle may raise anything: “Module Interface” in the documentation of `pickle`
        return None


def _seal(key: bytes, data: bytes) -> bytes:
    return blake2b(data, digest_size=_DIGEST_BYTES, key=key[:64]).digest()


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
