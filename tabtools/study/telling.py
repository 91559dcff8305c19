"""How much of what can be said of a solo is told at once; the rest is folded."""

from __future__ import annotations

FEWEST = 6
"""Devices that are told of the shortest solo."""


def most_told(bars: int) -> int:
    """The last rank that is told of a solo of so many bars: one device in two bars."""
    return max(FEWEST, bars // 2)
