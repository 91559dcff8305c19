"""Stretches in which nothing can be made out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tabtools.timeline.records import TimedNote


def unheard_stretches(notes: Iterable[TimedNote]) -> Iterator[list[TimedNote]]:
    """The `??` among these notes, those that follow each other without a gap together."""
    stretch: list[TimedNote] = []
    for timed in notes:
        if not timed.note.unheard:
            continue
        if stretch and (stretch[-1].index + 1 != timed.index or stretch[-1].release != timed.onset):
            yield stretch
            stretch = []
        stretch.append(timed)
    if stretch:
        yield stretch
