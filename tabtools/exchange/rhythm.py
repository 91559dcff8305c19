"""Slots to written values: notes, rests, dots and tuplets whose lengths are exact.

A written length is a multiple of the 1024th note, the smallest value MusicXML has a name for. Slots that share their
time in such lengths are plain; any other number of slots is a tuplet over them. Lengths and onsets are in quarter
notes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import gcd
from typing import NamedTuple

from tabtools.model.solo import Group, Hold, Rest, Slot, Stroke

SMALLEST = Fraction(1, 256)
LONGEST = Fraction(32)
TYPES = ("maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th")
NAMES = {LONGEST / 2**place: name for place, name in enumerate((*TYPES, "512th", "1024th"))}
"""The values MusicXML names, from the maxima on, by their length in quarter notes."""


@dataclass(frozen=True, slots=True, eq=False)
class Tuplet:
    """`actual` notes in the time of `normal`, each of the latter `unit` long; each tuplet is a thing of its own."""

    actual: int
    normal: int
    unit: Fraction


class Piece(NamedTuple):
    """A stroke, a hold or a rest: `length` is real, `written` what stands on paper within its tuplets."""

    slot: Stroke | Hold | Rest
    onset: Fraction
    length: Fraction
    written: Fraction
    tuplets: tuple[Tuplet, ...]


class Value(NamedTuple):
    """One note value, `written` long before its tuplets (outermost first) shrink it to `length`."""

    onset: Fraction
    length: Fraction
    written: Fraction
    tuplets: tuple[Tuplet, ...]

    @property
    def name(self) -> str:
        """What MusicXML calls it, dots left out."""
        return name_of(self.written)

    @property
    def dots(self) -> int:
        return int(is_dotted(self.written))


def pieces(slots: tuple[Slot, ...], onset: Fraction, length: Fraction) -> Iterator[Piece]:
    """The slots of a line that begins at `onset`, groups opened, holds joined to what they hold.

    Raises `ValueError` for a length that is no multiple of `SMALLEST`.
    """
    if not _is_plain(length):
        raise ValueError(length)
    yield from _divided(slots, onset, length, length, ())


def _divided(
    slots: tuple[Slot, ...], onset: Fraction, length: Fraction, written: Fraction, tuplets: tuple[Tuplet, ...]
) -> Iterator[Piece]:
    joined = _joined(slots)
    total = sum(weight for _, weight in joined)
    if len(joined) > 1 and not _is_plain(written / total):
        tuplet = _tuplet(written, total)
        tuplets = (*tuplets, tuplet)
        unit = tuplet.unit
    else:
        unit = written / total
    real = length / total
    for slot, weight in joined:
        share, own = (real, unit) if weight == 1 else (real * weight, unit * weight)
        if isinstance(slot, Group):
            yield from _divided(slot.slots, onset, share, own, tuplets)
        else:
            yield Piece(slot, onset, share, own, tuplets)
        onset += share


def _joined(slots: tuple[Slot, ...]) -> list[tuple[Slot, int]]:
    """Slots with the holds behind them (rests: with those too), in the smallest whole weights."""
    joined: list[tuple[Slot, int]] = []
    for slot in slots:
        before = joined[-1] if joined else None
        goes_on = isinstance(slot, Hold) or (before is not None and isinstance(before[0], Rest) and type(slot) is Rest)
        if before is not None and goes_on and not isinstance(before[0], Group):
            joined[-1] = (before[0], before[1] + slot.weight)
        else:
            joined.append((slot, slot.weight))
    divisor = gcd(*(weight for _, weight in joined))
    return [(slot, weight // divisor) for slot, weight in joined]


def _is_plain(length: Fraction) -> bool:
    return _odd_part(length.denominator) == 1 and length.denominator <= SMALLEST.denominator


def _tuplet(written: Fraction, shares: int) -> Tuplet:
    """So many notes in the time of as many plain ones as come next below."""
    normal = _odd_part(written.numerator)
    while normal * 2 <= shares and _is_plain(written / (normal * 2)):
        normal *= 2
    return Tuplet(shares, normal, written / normal)


def values(piece: Piece, is_aligned: bool = False) -> Iterator[Value]:
    """The values that a piece is written with; `is_aligned` keeps each, without dots, to the beats of its own size."""
    onset, left = piece.onset, piece.written
    scale = piece.length / left
    while left:
        part = longest_value(left)
        if is_aligned and not piece.tuplets:
            part = _aligned(part, onset)
        yield Value(onset, part * scale, part, piece.tuplets)
        onset += part * scale
        left -= part


def _aligned(value: Fraction, onset: Fraction) -> Fraction:
    value = value * 2 / 3 if is_dotted(value) else value
    while onset % value and value > SMALLEST:
        value /= 2
    return value


@lru_cache(maxsize=1024)
def longest_value(length: Fraction) -> Fraction:
    """The longest value, plain or with one dot, that fits into a multiple of `SMALLEST`."""
    value = LONGEST
    while value > length:
        value /= 2
    return value * 3 / 2 if value * 3 / 2 <= length and value > SMALLEST else value


@lru_cache(maxsize=1024)
def is_value(length: Fraction) -> bool:
    """Whether one value, plain or dotted, is so long."""
    return _is_plain(length) and SMALLEST <= length <= LONGEST * 3 / 2 and longest_value(length) == length


@lru_cache(maxsize=1024)
def name_of(value: Fraction) -> str:
    """What MusicXML calls a value, its dot left out."""
    return NAMES[value * 2 / 3 if is_dotted(value) else value]


def is_dotted(value: Fraction) -> bool:
    """Whether a value is written with a dot."""
    return _odd_part(value.numerator) == 3


def _odd_part(number: int) -> int:
    return number // (number & -number)
