"""Where teachers draw lines, and what it costs to draw one elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from tabtools.study.explaining import costs
from tabtools.study.music import Music

SLURS = frozenset("hp/\\")


class Borders(NamedTuple):
    """The bits of a beginning and of an end at each stroke of a solo."""

    beginning: Sequence[float]
    end: Sequence[float]

    def bits(self, first: int, last: int) -> float:
        """What the borders of these strokes cost."""
        return self.beginning[first] + self.end[last]


def borders_of(music: Music) -> Borders:
    """What it costs to begin, and to end, an explanation at each stroke.

    The borders of a phrase are free.
    """
    melody = music.melody
    strokes, notes = melody.strokes, melody.timeline.notes
    slurred = [notes[struck.notes[0]].via in SLURS for struck in strokes]
    within = _within_cells(music)
    beginning, end = [0.0] * len(strokes), [0.0] * len(strokes)
    for phrase in music.phrases:
        for place in range(phrase.first + 1, phrase.last + 1):
            bits = costs.IN_A_SLUR * slurred[place] + costs.IN_A_CELL * (place in within)
            end[place - 1] = bits
            beginning[place] = bits + costs.OFF_THE_BEAT * (
                strokes[place].doubt is None and not strokes[place].is_on_beat
            )
    return Borders(beginning, end)


def _within_cells(music: Music) -> set[int]:
    """The strokes of repeated figures that do not begin one."""
    return {
        place
        for cell in music.cells
        for place in range(cell.start + 1, cell.end + 1)
        if (place - cell.start) % cell.size
    }
