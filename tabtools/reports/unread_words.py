"""Lines of a solo that could not be read before and can be now, in words."""

from __future__ import annotations

from tabtools.model.solo import Solo
from tabtools.reports.change_summary import bars_in_words
from tabtools.wording import several


def mended_in_words(lines: int, before: Solo, after: Solo) -> str:
    """`2 lines mended that could not be read (bars 4 and 5)`: so many lines, some of the older version's bars."""
    bars = mended_bars(before, after)
    return f"{several(lines, 'line')} mended that could not be read{f' ({bars_in_words(bars)})' if bars else ''}"


def mended_bars(before: Solo, after: Solo) -> tuple[int, ...]:
    """The bars that are there in both versions, with a line that can be read in the newer one only."""
    was, now = ({bar.number: bar.damaged for bar in solo.bars} for solo in (before, after))
    return tuple(sorted(bar for bar, damaged in was.items() if damaged and now.get(bar) is False))
