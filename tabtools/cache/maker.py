"""What makes results: results of another maker are not taken for its own."""

from __future__ import annotations

from functools import cache
from hashlib import blake2b
from importlib.metadata import version
from pathlib import Path
from platform import python_version

import tabtools

_DIGEST_BYTES = 16
_LIBRARIES = ("lark", "markdown", "markupsafe", "nh3")


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
