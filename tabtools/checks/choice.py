"""Which checks are run."""

from __future__ import annotations

from collections.abc import Sequence
from types import ModuleType

from tabtools.checks import ALL_CHECKS, BY_NAME


class UnknownCheckError(Exception):
    """A name that no check has; the text says so and names one that is near."""

    def __init__(self, name: str):
        from difflib import get_close_matches  # costs every start, and is needed for a slip alone

        near = get_close_matches(name, BY_NAME, 1)
        hint = f"; did you mean {near[0]}?" if near else "; see tabtools checks"
        super().__init__(f"there is no check “{name}”{hint}")


def check_named(name: str) -> ModuleType:
    """The check of this name. Raises `UnknownCheckError`."""
    if name not in BY_NAME:
        raise UnknownCheckError(name)
    return BY_NAME[name]


def chosen(select: Sequence[str], ignore: Sequence[str]) -> list[ModuleType]:
    """The checks that are selected (all where none is), those ignored left out; what stops publishing stays.

    Raises `UnknownCheckError` for a name that no check has.
    """
    for name in (*select, *ignore):
        check_named(name)
    return [
        check
        for check in ALL_CHECKS
        if hasattr(check, "ALWAYS_ON") or ((not select or check.NAME in select) and check.NAME not in ignore)
    ]
