"""How much is made up for the tests: a quarter with every push, all of it where TABTOOLS_THOROUGH is set."""

from __future__ import annotations

import os

IS_THOROUGH = bool(os.environ.get("TABTOOLS_THOROUGH"))


def share(whole: int) -> int:
    """How many of so many made-up cases are tried this time."""
    return whole if IS_THOROUGH else -(-whole // 4)
