"""How slots share the time of their line, and how an even pair swings."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from tabtools.model.rhythm import STRAIGHT, Feel, Meter
from tabtools.model.solo import BeatLine, Group, Slot

HALF = Fraction(1, 2)
Shape = tuple["int | tuple[int, Shape]", ...]
"""The weights of slots; a group is a pair of its weight and the shape within."""


class SlotInTime(NamedTuple):
    """Where a leaf slot stands: offset from the start of its bar and length, in quarter notes.

    `played` is the offset in counts, as a float, swung where the feel asks for it.
    """

    offset: Fraction
    length: Fraction
    played: float


def leaves(slots: tuple[Slot, ...]) -> list[Slot]:
    """Strokes, holds and rests in written order, groups opened."""
    flat: list[Slot] = []
    for slot in slots:
        if type(slot) is Group:
            flat.extend(leaves(slot.slots))
        else:
            flat.append(slot)
    return flat


def slot_sum(line: BeatLine) -> int:
    """How many shares the slots of a line take."""
    return sum(slot.weight for slot in line.slots)


def positions(line: BeatLine, lead: int, meter: Meter, feel: Feel = STRAIGHT) -> tuple[SlotInTime, ...]:
    """The positions of the `leaves` of a line that begins `lead` counts after its bar."""
    return _counted(shape_of(line.slots), lead, line.last - line.first + 1, meter, feel)


def free_positions(line: BeatLine, offset: Fraction, length: Fraction, meter: Meter) -> tuple[SlotInTime, ...]:
    """The positions of the `leaves` of a line of a free bar that begins at `offset` and lasts `length`."""
    return tuple(
        SlotInTime(start, part, float(start / meter.beat))
        for start, part in divide(shape_of(line.slots), offset, length)
    )


def shape_of(slots: tuple[Slot, ...]) -> Shape:
    """The weights of slots, for `divide`."""
    return tuple([(slot.weight, shape_of(slot.slots)) if type(slot) is Group else slot.weight for slot in slots])


def divide(shape: Shape, start: Fraction, length: Fraction) -> Iterator[tuple[Fraction, Fraction]]:
    """(onset, length) of each leaf of a shape that fills `length` from `start` on."""
    weights = [entry[0] if isinstance(entry, tuple) else entry for entry in shape]
    unit = length / sum(weights)
    for entry, weight in zip(shape, weights, strict=True):
        if isinstance(entry, tuple):
            yield from divide(entry[1], start, weight * unit)
        else:
            yield start, weight * unit
        start += weight * unit


@lru_cache(maxsize=8192)
def _counted(shape: Shape, lead: int, counts: int, meter: Meter, feel: Feel) -> tuple[SlotInTime, ...]:
    start, end = Fraction(0), Fraction(counts)
    swings = feel.is_swung and not meter.is_compound
    played = list(_swung(shape, start, end, feel)) if swings else [at for at, _ in divide(shape, start, end)]
    return tuple(
        SlotInTime((lead + at) * meter.beat, part * meter.beat, lead + float(moment))
        for (at, part), moment in zip(divide(shape, start, end), played, strict=True)
    )


def _swung(shape: Shape, start: Fraction, end: Fraction, feel: Feel) -> Iterator[Fraction]:
    """When each leaf of a shape that fills the counts from `start` to `end` is played.

    Slots that divide a count into an even pair are played long and short. What is within a slot that is moved
    so fills it evenly; within any other, a whole count may swing again.
    """
    top = tuple(entry[0] if isinstance(entry, tuple) else entry for entry in shape)
    cuts = [at for at, _ in divide(top, start, end - start)]
    moved = [_late(cut, cuts, end, feel) for cut in cuts]
    for entry, at, until, moved_at, moved_until in zip(
        shape, cuts, [*cuts[1:], end], moved, [*moved[1:], end], strict=True
    ):
        if not isinstance(entry, tuple):
            yield moved_at
        elif (at, until) == (moved_at, moved_until):
            yield from _swung(entry[1], at, until, feel)
        else:
            yield from (inner for inner, _ in divide(entry[1], moved_at, moved_until - moved_at))


def _late(cut: Fraction, cuts: list[Fraction], end: Fraction, feel: Feel) -> Fraction:
    """A cut where it is played: later, if it alone divides its count, and in the middle."""
    count = int(cut)
    is_pair = cuts[0] <= count and count + 1 <= end and [at for at in cuts if count < at < count + 1] == [count + HALF]
    return count + feel.first_share if is_pair and cut != count else cut
