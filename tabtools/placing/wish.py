"""What is asked of the places to be chosen."""

from __future__ import annotations

from dataclasses import dataclass

from tabtools.hand.position import HAND_FRETS, is_within_reach
from tabtools.model.solo import Fret


@dataclass(frozen=True)
class Wish:
    """How places are to be chosen.

    `position` is the fret of the first finger; `strings` the strings allowed; `open_strings` says that open strings
    are preferred.
    """

    position: int | None = None
    strings: range | None = None
    open_strings: bool = False

    def allows(self, string: int) -> bool:
        """Whether a string is one of those asked for."""
        return self.strings is None or string in self.strings

    def holds(self, string: int, fret: Fret) -> bool:
        """Whether a place is where it was asked for: on one of the strings, within reach of the position."""
        if not self.allows(string):
            return False
        return not fret or self.position is None or is_within_reach(self.position, fret)

    def is_held(self, string: int, fret: Fret) -> bool:
        """Whether one of the four fingers is at a place, each at its own fret, while the hand is in the position."""
        return self.allows(string) and self.position is not None and self.position <= fret < self.position + HAND_FRETS

    def __str__(self) -> str:
        """What was asked for, as in `position 7 on strings 3 to 4`."""
        position = f"position {self.position}" if self.position is not None else ""
        if self.strings is None:
            return position
        one, other = self.strings[0], self.strings[-1]
        strings = f"string {one}" if one == other else f"strings {one} to {other}"
        return f"{position} on {strings}" if position else strings

    def __bool__(self) -> bool:
        return self != Wish()


NO_WISH = Wish()
