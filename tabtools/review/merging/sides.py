"""What two sides made of one thing: a value, comments."""

from __future__ import annotations

from typing import NamedTuple, TypeVar

from tabtools.model.solo import Bar, Comment, Comments

Value = TypeVar("Value")
Remarks = tuple[Comment, ...]


class CollisionError(Exception):
    """Both sides changed the same thing, differently; the text may say what they made of it."""


class BarSides(NamedTuple):
    """A bar of which some beats are in conflict: as it is with each side's version of these, all else merged."""

    base: Bar
    ours: Bar
    theirs: Bar


class BeatCollisionError(CollisionError):
    """Both sides changed the same beats of a bar, differently, and nothing else of it."""

    def __init__(self, why: str, bars: BarSides):
        super().__init__(why)
        self.bars = bars


def three_way(base: Value, ours: Value, theirs: Value) -> Value:
    """What one side changed, or both alike. Raises `CollisionError`."""
    if ours == theirs or theirs == base:
        return ours
    if ours == base:
        return theirs
    raise CollisionError


def merge_comments(base: Comments, ours: Comments, theirs: Comments) -> Comments:
    """Comments that both sides added above or below stand one after the other. Raises `CollisionError`."""
    return Comments(
        _both(base.above, ours.above, theirs.above),
        three_way(base.beside, ours.beside, theirs.beside),
        _both(base.below, ours.below, theirs.below),
    )


def _both(base: Remarks, ours: Remarks, theirs: Remarks) -> Remarks:
    if base == () and ours and theirs and ours != theirs:
        return ours + tuple(comment for comment in theirs if comment not in ours)
    return three_way(base, ours, theirs)
