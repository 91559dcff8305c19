"""How slots share the time of their line, and how an even pair swings."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from tabtools.model.rhythm import Feel
from tabtools.model.solo import BeatLine, Group, Slot


@lru_cache(maxsize=4096)
def shares(weights: tuple[int, ...], start: Fraction, length: Fraction) -> tuple[tuple[Fraction, Fraction], ...]:
    """(onset, length) of each of the slots with these weights that share `length` from `start` on."""
    unit = length / sum(weights)
    spans = []
    for weight in weights:
        spans.append((start, weight * unit))
        start += weight * unit
    return tuple(spans)


@lru_cache(maxsize=4096)
def counts_length(counts: int, beat: Fraction) -> Fraction:
    """How long so many counts last, in quarter notes."""
    return counts * beat


class Position(NamedTuple):
    """Where a leaf slot stands within its line: onset and length in quarter notes, the onset also in beats."""

    onset: Fraction
    length: Fraction
    beats: Fraction
    beats_as_float: float


def leaves(slots: tuple[Slot, ...]) -> list[Slot]:
    """Strokes, holds and rests in written order, groups opened."""
    flat: list[Slot] = []
    for slot in slots:
        if type(slot) is Group:
            flat.extend(leaves(slot.slots))
        else:
            flat.append(slot)
    return flat


def positions(line: BeatLine, length: Fraction, beat: Fraction) -> tuple[Position, ...]:
    """The positions of the `leaves` of a line that lasts `length` quarter notes, a count lasting `beat`."""
    return _positions(_shape(line.slots), length, beat)


def _shape(slots: tuple[Slot, ...]) -> tuple:
    return tuple([(slot.weight, _shape(slot.slots)) if type(slot) is Group else slot.weight for slot in slots])


@lru_cache(maxsize=4096)
def _positions(shape: tuple, length: Fraction, beat: Fraction) -> tuple[Position, ...]:
    return tuple(
        Position(onset, part, onset / beat, float(onset / beat)) for onset, part in _divide(shape, Fraction(0), length)
    )


def _divide(shape: tuple, start: Fraction, length: Fraction) -> Iterator[tuple[Fraction, Fraction]]:
    weights = tuple(entry[0] if isinstance(entry, tuple) else entry for entry in shape)
    for entry, (onset, part) in zip(shape, shares(weights, start, length), strict=True):
        if isinstance(entry, tuple):
            yield from _divide(entry[1], onset, part)
        else:
            yield onset, part


def slot_sum(line: BeatLine) -> int:
    """How many shares the slots of a line take."""
    return sum(slot.weight for slot in line.slots)


@lru_cache(maxsize=1024)
def even_pairs(weights: tuple[int, ...], beats: int) -> tuple[bool, ...]:
    """For each beat of a line, whether it is divided into an even pair (and so swings)."""
    cuts = [onset for onset, _ in shares(weights, Fraction(0), Fraction(beats))]
    pairs = []
    for beat in range(beats):
        inside = [cut - beat for cut in cuts if beat < cut < beat + 1]
        pairs.append(inside == [Fraction(1, 2)])
    return tuple(pairs)


def swung(position: Fraction, pairs: tuple[bool, ...], feel: Feel) -> Fraction:
    """A position on a line, in beats, as it is played."""
    beat = int(position)
    within = position - beat
    if not within or beat >= len(pairs) or not pairs[beat]:
        return position
    first = feel.first_share
    half = Fraction(1, 2)
    moved = within / half * first if within <= half else first + (within - half) / half * (1 - first)
    return beat + moved
