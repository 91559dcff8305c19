"""What is said of the tempo where the value that it counts, or a bar out of time, ends."""

from __future__ import annotations

from fractions import Fraction

from tabtools.timeline import TimedBar

A_TEMPO = "a tempo"
"""Where time is kept again, at the tempo from before."""
SAME = Fraction(1, 2)
"""The value that is told to last as long as before: the eighth."""


def is_told_by_another_value(before: TimedBar, bar: TimedBar) -> bool:
    """Whether another value is counted than in the bar before, and every value lasts as long as it did."""
    is_another = before.meter.beat != bar.meter.beat
    return is_another and before.tempo * before.meter.beat == bar.tempo * bar.meter.beat
