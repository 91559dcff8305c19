"""Where the slots of a bar stand in time."""

from __future__ import annotations

from tabtools.model.rhythm import STRAIGHT, Feel
from tabtools.timeline.records import TimedBar, TimedLine
from tabtools.timeline.spread import SlotInTime, free_positions, positions


def slots_in_time(bar: TimedBar, timed: TimedLine, feel: Feel = STRAIGHT) -> tuple[SlotInTime, ...]:
    """The positions of the `leaves` of a line of the bar. Under a doubtful count shares are even: nothing swings."""
    if bar.written.free:
        return free_positions(timed.line, timed.begins.offset, timed.length, bar.meter)
    own = STRAIGHT if timed.line.doubtful else feel
    return positions(timed.line, timed.count - bar.first_count, bar.meter, own)
