"""How much is tried: a part with every push, all of it where TABTOOLS_THOROUGH is set."""

from __future__ import annotations

import os
from collections.abc import Sequence
from itertools import product
from typing import TypeVar

One = TypeVar("One")
Other = TypeVar("Other")

PART = 6
"""Of so many made-up cases one is tried with every push."""

IS_THOROUGH = bool(os.environ.get("TABTOOLS_THOROUGH"))


def share(whole: int) -> int:
    """How many of so many made-up cases are tried this time."""
    return whole if IS_THOROUGH else -(-whole // PART)


def crossed(these: Sequence[One], those: Sequence[Other]) -> list[tuple[One, Other]]:
    """Every pair; with a push each of these with one of those, in turn."""
    if IS_THOROUGH:
        return list(product(these, those))
    return [(this, those[number % len(those)]) for number, this in enumerate(these)]
