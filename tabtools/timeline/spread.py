"""How slots share the time of their line, and how an even pair swings."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from tabtools.model.rhythm import STRAIGHT, Feel, Meter
from tabtools.model.solo import BeatLine, Group, Slot

HALF = Fraction(1, 2)
Shape = tuple
"""The weights of slots; a group is a pair of its weight and the shape within."""


class Position(NamedTuple):
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


def positions(line: BeatLine, first_count: int, meter: Meter, feel: Feel = STRAIGHT) -> tuple[Position, ...]:
    """The positions of the `leaves` of a line, in a bar whose first count is `first_count`."""
    return _counted(shape_of(line.slots), line.first - first_count, line.last - line.first + 1, meter, feel)


def free_positions(line: BeatLine, offset: Fraction, length: Fraction, meter: Meter) -> tuple[Position, ...]:
    """The positions of the `leaves` of a line of a free bar that begins at `offset` and lasts `length`."""
    return tuple(
        Position(start, part, float(start / meter.beat)) for start, part in divide(shape_of(line.slots), offset, length)
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
def _counted(shape: Shape, lead: int, counts: int, meter: Meter, feel: Feel) -> tuple[Position, ...]:
    swings = feel.is_swung and not meter.is_compound
    pairs = _even_pairs(shape, counts) if swings else ()
    places = []
    for at, part in divide(shape, Fraction(0), Fraction(counts)):
        played = lead + float(_swung(at, pairs, feel) if swings else at)
        places.append(Position((lead + at) * meter.beat, part * meter.beat, played))
    return tuple(places)


def _even_pairs(shape: Shape, counts: int) -> tuple[bool, ...]:
    """For each count of a line, whether its slots divide it into an even pair (and so swing)."""
    top = tuple(entry[0] if isinstance(entry, tuple) else entry for entry in shape)
    cuts = [onset for onset, _ in divide(top, Fraction(0), Fraction(counts))]
    return tuple([cut - count for cut in cuts if count < cut < count + 1] == [HALF] for count in range(counts))


def _swung(at: Fraction, pairs: tuple[bool, ...], feel: Feel) -> Fraction:
    """A position on a line, in counts, as it is played."""
    count = int(at)
    within = at - count
    if not within or not pairs[count]:
        return at
    first = feel.first_share
    if within <= HALF:
        return count + within / HALF * first
    return count + first + (within - HALF) / HALF * (1 - first)
