"""A solo in time: bars unrolled, every note with its exact onset, duration and sounding pitch."""

from tabtools.timeline.records import (
    IdleHold,
    Moment,
    ReachedPitch,
    TimedBar,
    TimedChord,
    TimedLine,
    TimedNote,
    Timeline,
)
from tabtools.timeline.sound import timeline_of

__all__ = [
    "IdleHold",
    "Moment",
    "ReachedPitch",
    "TimedBar",
    "TimedChord",
    "TimedLine",
    "TimedNote",
    "Timeline",
    "timeline_of",
]
