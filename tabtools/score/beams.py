"""Beams: neighbours shorter than a quarter share one where they share a beat, or a tuplet over several beats."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from tabtools.score.grid import Grid
from tabtools.score.records import BACKWARD, BEGIN, CONTINUE, END, FORWARD, Tuplet, WrittenEvent
from tabtools.score.values import EIGHTH

QUARTER = 2
"""Halvings of a whole note; every halving more is one beam more."""


def beamed(events: Sequence[WrittenEvent], grid: Grid) -> Iterator[WrittenEvent]:
    """The events of a voice with their beams."""
    homes = _homes(events, grid)
    wide = _wide_tuplets(events, homes)
    run: list[WrittenEvent] = []
    run_home: object = None
    for event, home in zip(events, homes, strict=True):
        own: object = event.tuplets[0] if event.tuplets and event.tuplets[0] in wide else home
        joins = bool(event.notes) and event.has_value and event.halvings > QUARTER
        if run and not (joins and own == run_home):
            yield from _closed(run)
            run = []
        if joins:
            run.append(event)
            run_home = own
        else:
            yield event
    yield from _closed(run)


def _homes(events: Sequence[WrittenEvent], grid: Grid) -> list[tuple[int, int]]:
    """The beat each event lies in; within a beat of two quarters each by itself, if something there is quick."""
    homes = [grid.home(event.onset) for event in events]
    if grid.span is None or grid.span != 2:
        return [(home, 0) for home in homes]
    quick = {
        home
        for event, home in zip(events, homes, strict=True)
        if event.notes and event.has_value and event.written < EIGHTH
    }
    return [
        (home, int((event.onset + grid.shift) % grid.span) if home in quick else 0)
        for event, home in zip(events, homes, strict=True)
    ]


def _wide_tuplets(events: Sequence[WrittenEvent], homes: Sequence[object]) -> set[Tuplet]:
    """The outermost tuplets that reach over several beats."""
    reach: dict[Tuplet, set[object]] = {}
    for event, home in zip(events, homes, strict=True):
        if event.tuplets:
            reach.setdefault(event.tuplets[0], set()).add(home)
    return {tuplet for tuplet, own in reach.items() if len(own) > 1}


def _closed(run: Sequence[WrittenEvent]) -> Iterator[WrittenEvent]:
    if len(run) == 1:
        yield run[0]
        return
    for place, event in enumerate(run):
        levels = range(1, event.halvings - QUARTER + 1)
        yield replace(event, beams=tuple([_beam(run, place, level) for level in levels]))


def _beam(run: Sequence[WrittenEvent], place: int, level: int) -> str:
    """What the beam of a level does at a place of a run."""
    before = place > 0 and run[place - 1].halvings - QUARTER >= level
    after = place + 1 < len(run) and run[place + 1].halvings - QUARTER >= level
    if before:
        return CONTINUE if after else END
    if after:
        return BEGIN
    return FORWARD if place + 1 < len(run) and (place == 0 or _starts_pair(run[place])) else BACKWARD


def _starts_pair(event: WrittenEvent) -> bool:
    """Whether a lone short value begins the stretch it shares with its neighbour, so that its stub points onwards."""
    within = event.onset - (event.tuplets[-1].onset if event.tuplets else Fraction(0))
    return (within / (2 * event.length)).denominator == 1
