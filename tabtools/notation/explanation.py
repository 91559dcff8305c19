"""What an explanation of a syntax error is, and the words its rules share."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple


class Explanation(NamedTuple):
    """What is wrong and what to write; `offset` is the place on the line, where the reader stopped too late."""

    message: str
    advice: str
    offset: int | None = None
    check: str = "syntax"


class Stop(NamedTuple):
    """Where reading stopped: the line, what stands `before` and `here`, and the terminals that could have come."""

    line: str
    before: str
    here: str
    awaited: frozenset[str]

    @property
    def word(self) -> str:
        """What stands here, up to the next white space."""
        return re.match(r"\S*", self.here).group()

    @property
    def slot(self) -> str:
        """The whole word that reading stopped in."""
        return re.search(r"[^\s(]*$", self.before).group() + self.word

    @property
    def slot_offset(self) -> int:
        """Where the whole word begins."""
        return len(self.before) - len(re.search(r"[^\s(]*$", self.before).group())


Rule = Callable[[Stop], Explanation | None]


def quoted(text: str, most: int = 30) -> str:
    """A piece of the line as messages quote it."""
    return f"“{text if len(text) <= most else text[: most - 1] + '…'}”"
