"""A stretch of a timeline as a timeline of its own, so that work on a few bars of a long solo is work on a few bars."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace

from tabtools.timeline.records import Timeline


def excerpt(timeline: Timeline, bars: range) -> Timeline:
    """The bars at these places, with their own times. Notes are counted anew; none comes from one before the excerpt.

    Holds that hold nothing are left out.
    """
    if not bars:
        return replace(timeline, bars=(), notes=(), idle_holds=())
    kept = timeline.bars[bars.start : bars.stop]
    notes = timeline.notes
    first = bisect_left(notes, kept[0].onset, key=lambda note: note.begins.bar)
    end = len(notes)
    if bars.stop < len(timeline.bars):
        end = bisect_left(notes, timeline.bars[bars.stop].onset, lo=first, key=lambda note: note.begins.bar)
    return replace(
        timeline,
        bars=kept,
        notes=tuple(
            note._replace(
                index=note.index - first,
                origin=None if note.origin is None or note.origin < first else note.origin - first,
            )
            for note in notes[first:end]
        ),
        idle_holds=(),
    )
