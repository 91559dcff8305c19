"""What ties the fingers of one grasp to those of the one before it."""

from __future__ import annotations

from enum import IntEnum

from tabtools.hand.grip import Grip


class Tie(IntEnum):
    """What ties a stop to the one before it on its string."""

    NONE = 0
    HELD = 1
    LEGATO = 2
    SLIDE = 3

    __hash__ = int.__hash__


Ties = tuple[tuple[Tie, int, int], ...]
"""(tie, index among the stops before, index among the stops after)."""


def is_bound(ties: Ties, one: Grip, other: Grip) -> bool:
    """Whether a finger ties the hand to its place: one that stays, slurs or slides."""
    return any(one.fingers[index] and other.fingers[following] for _, index, following in ties)
