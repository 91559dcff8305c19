"""How much a solo may hold: what is beyond it is an error, never a wait."""

from __future__ import annotations

from typing import NamedTuple

from tabtools.model.solo import Bar, BeatLine, Group, Like, Slot, Solo
from tabtools.source import Span

MAX_LINE = 2000
MAX_SLOTS = 64
MAX_WEIGHT = 64
MAX_COUNT = 64
MAX_BARS = 4000
MAX_PLAYED_SLOTS = 100_000


class Fault(NamedTuple):
    """What is beyond a limit: where, in which words, what to do, and the check that reports it."""

    span: Span
    message: str
    advice: str
    check: str = "syntax"


def line_fault(line: BeatLine) -> Fault | None:
    """What is beyond the limits of a beat line: its counts, its slots, their weights."""
    if not 1 <= line.first <= line.last <= MAX_COUNT:
        return _count_fault(line)
    slots = 0
    stack: list[Slot] = list(line.slots)
    while stack:
        slot = stack.pop()
        slots += 1
        if not 1 <= slot.weight <= MAX_WEIGHT:
            return Fault(slot.span, f"a slot cannot take {slot.weight} shares", f"write 1 to {MAX_WEIGHT}")
        if isinstance(slot, Group):
            stack.extend(slot.slots)
    if slots > MAX_SLOTS:
        message = f"the line has {slots} slots; the most is {MAX_SLOTS}"
        return Fault(line.span, message, "put each beat on a line of its own")
    return None


def _count_fault(line: BeatLine) -> Fault:
    counts = f"{line.first}" if line.first == line.last else f"{line.first}-{line.last}"
    span = Span(line.span.start, line.span.start + len(counts))
    if line.first < 1:
        return Fault(span, "counts start from 1", "write the count that is said there, like 1 or 3-4")
    if line.last < line.first:
        return Fault(span, f"“{counts}” is no run of counts", "write counts upwards, like 3-4")
    return Fault(span, f"count {line.last} is more than a bar can have", f"counts go up to {MAX_COUNT}")


def solo_fault(solo: Solo) -> Fault | None:
    """The first bar or repeat that makes the solo too long, what `like` repeats counted."""
    bars = slots = 0
    held: dict[int, int] = {}
    for item in solo.items:
        if isinstance(item, Bar):
            bars += 1
            slots += held.setdefault(item.number, slots_of(item))
        elif isinstance(item, Like):
            bars += max(0, item.last - item.first + 1)
            for number in range(item.first, min(item.last, item.first + MAX_BARS) + 1):
                slots += held.setdefault(number, held.get(item.source_of(number), 0))
        if bars > MAX_BARS or slots > MAX_PLAYED_SLOTS:
            much = f"{MAX_BARS:,} bars" if bars > MAX_BARS else f"{MAX_PLAYED_SLOTS:,} slots"
            check = "like-range" if isinstance(item, Like) else "syntax"
            return Fault(item.span, f"the solo has more than {much}", "split it into several files", check)
    return None


def slots_of(bar: Bar) -> int:
    """How many slots a bar has, those within groups counted."""
    return sum(len(line.slots) + sum(_within(slot) for slot in line.slots) for line in bar.lines)


def _within(slot: Slot) -> int:
    return sum(1 + _within(inner) for inner in slot.slots) if type(slot) is Group else 0
