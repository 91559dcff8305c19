"""Seconds to MIDI ticks: a tempo map that keeps to the timeline, bar by bar.

A bar takes the ticks of its length; a bar out of time takes those of whole bars of its meter, at a tempo that fits.
MIDI counts tempo in whole microseconds: where rounding has added up, one bar makes good for it.
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from typing import NamedTuple

from tabtools.timeline import TimedBar, Timeline

DIVISION = 6720
"""Ticks a quarter note: 2⁶·3·5·7, so that what is written in halves, thirds, fifths and sevenths falls on ticks."""

SLOWEST, FASTEST = 0xFFFFFF, 1
"""Microseconds a quarter note that a file can hold."""

_LONGEST_QUARTER = 8.0
"""Seconds: slower music is spread over more ticks, so that a tick stays near a millisecond."""

_MOST_QUARTERS = 400
"""In a bar out of time: rounding takes up to half a microsecond from each."""

_DRIFT = 0.0002
"""Seconds that a bar's end may be off."""


class BarTicks(NamedTuple):
    """A bar in ticks, and the tempo in microseconds a quarter note that holds in it."""

    bar: TimedBar
    tick: int
    length: int
    tempo: int

    @property
    def quarters(self) -> Fraction:
        """Its length as MIDI sees it."""
        return Fraction(self.length, DIVISION)


class TempoMap:
    """The ticks of a timeline."""

    def __init__(self, timeline: Timeline):
        self.bars: list[BarTicks] = []
        tick, now = 0, 0.0
        for bar in timeline.bars:
            length = _length(bar)
            quarters = length / DIVISION
            tempo = _tempo((bar.end - bar.start) / quarters)
            if abs(now + tempo * quarters / 1e6 - bar.end) > _DRIFT:
                tempo = _tempo((bar.end - now) / quarters)
            self.bars.append(BarTicks(bar, tick, length, tempo))
            tick += length
            now += tempo * quarters / 1e6
        self.end = tick
        self._starts = [bar.start for bar in timeline.bars]

    def tick(self, seconds: float) -> int:
        """The tick nearest to a moment of the timeline, from its first to its last."""
        place = max(0, bisect_right(self._starts, seconds) - 1)
        if not self.bars:
            return 0
        own = self.bars[place]
        share = (seconds - own.bar.start) / (own.bar.end - own.bar.start)
        return own.tick + round(min(max(share, 0.0), 1.0) * own.length)


def _length(bar: TimedBar) -> int:
    quarters = bar.length
    if bar.written.free:
        bars = min(round(bar.length / bar.meter.length), int(_MOST_QUARTERS / bar.meter.length))
        quarters = max(1, bars) * bar.meter.length
    while (bar.end - bar.start) / float(quarters) > _LONGEST_QUARTER:
        quarters *= 2
    return round(quarters * DIVISION)


def _tempo(seconds: float) -> int:
    return min(max(round(seconds * 1e6), FASTEST), SLOWEST)
