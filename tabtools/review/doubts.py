"""Chords whose doubt is gone, or is new, in another version."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from tabtools.model.solo import ChordMark, Count
from tabtools.review.change import Kind

_FIRST = Count(1)


class ChordDoubts(NamedTuple):
    """The chords of the new version that are settled, and those that are in doubt and were not."""

    settled: tuple[ChordMark, ...]
    raised: tuple[ChordMark, ...]

    @property
    def kinds(self) -> tuple[Kind, ...]:
        return ((Kind.RESOLVED,) if self.settled else ()) + ((Kind.RAISED,) if self.raised else ())


def chord_doubts(before: Sequence[ChordMark], after: Sequence[ChordMark]) -> ChordDoubts:
    """What became of doubts about chords: one stands for another that begins at the same moment."""
    was = {mark.at or _FIRST: mark for mark in reversed(before)}
    settled, raised = [], []
    for mark in after:
        old = was.get(mark.at or _FIRST)
        if old is not None and old.doubtful and not mark.doubtful:
            settled.append(mark)
        elif mark.doubtful and not (old is not None and old.doubtful):
            raised.append(mark)
    return ChordDoubts(tuple(settled), tuple(raised))


def without_doubt(marks: Sequence[ChordMark]) -> tuple[ChordMark, ...]:
    """The same chords, every one certain."""
    return tuple(replace(mark, doubtful=False) for mark in marks)
