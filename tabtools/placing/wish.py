"""What is asked of the places to be chosen."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Wish:
    """How places are to be chosen.

    `position` is the fret of the first finger; `strings` the strings allowed; `open_strings` says that open strings
    are preferred.
    """

    position: int | None = None
    strings: range | None = None
    open_strings: bool = False

    def __bool__(self) -> bool:
        return self != Wish()


NO_WISH = Wish()
