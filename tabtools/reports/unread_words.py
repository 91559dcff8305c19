"""Lines of a solo that could not be read before and can be now, in words."""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.checks.wording import listed
from tabtools.model.solo import Solo
from tabtools.reports.change_summary import bars_in_words
from tabtools.wording import plural, several


def mended_in_words(lines: int, before: Solo, after: Solo) -> str:
    """`2 lines mended that could not be read (bars 4 and 5)`: so many lines, some of the older version's bars."""
    bars = mended_bars(before, after)
    return f"{several(lines, 'line')} mended that could not be read{f' ({bars_in_words(bars)})' if bars else ''}"


def broken_in_words(lines: Sequence[int], after: Solo) -> str:
    """`line 65 cannot be read, so bar 10 is left out`: the lines of the newer version that cannot be read."""
    bars = [bar.number for bar in after.bars if bar.damaged]
    verb = "is" if len(bars) == 1 else "are"
    left_out = f", so {bars_in_words(bars)} {verb} left out" if bars else ""
    return f"{plural('line', len(lines))} {listed(lines)} cannot be read{left_out}"


def mended_bars(before: Solo, after: Solo) -> tuple[int, ...]:
    """The bars that are there in both versions, with a line that can be read in the newer one only."""
    was, now = ({bar.number: bar.damaged for bar in solo.bars} for solo in (before, after))
    return tuple(sorted(bar for bar, damaged in was.items() if damaged and now.get(bar) is False))
