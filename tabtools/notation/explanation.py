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


class ReadingStop(NamedTuple):
    """Where reading stopped: the line, what stands `before` and `here`, and the terminals that could have come."""

    line: str
    before: str
    here: str
    awaited: frozenset[str]

    @property
    def word(self) -> str:
        """What stands here, up to the next white space."""
        return leading(r"\S*", self.here)

    @property
    def slot(self) -> str:
        """The whole word that reading stopped in."""
        return self._begun + self.word

    @property
    def slot_offset(self) -> int:
        """Where the whole word begins."""
        return len(self.before) - len(self._begun)

    @property
    def _begun(self) -> str:
        """What of the word stands before the place where reading stopped."""
        match = re.search(r"[^\s(]*$", self.before)
        return match[0] if match else ""


def leading(pattern: str, text: str) -> str:
    """What of a text its beginning is by a pattern; empty where it does not begin so."""
    match = re.match(pattern, text)
    return match[0] if match else ""


Rule = Callable[[ReadingStop], Explanation | None]


def quoted(text: str, most: int = 30) -> str:
    """A piece of the line as messages quote it."""
    return f"“{text if len(text) <= most else text[: most - 1] + '…'}”"
