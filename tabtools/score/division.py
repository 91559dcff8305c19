"""Slots to pieces: which written length each slot of a line stands for, and the tuplets around it.

Slots that share their time in lengths of the trade are plain; any other number of slots is a tuplet over the values
it stands for (seven slots on a quarter are a septuplet of sixteenths).
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from math import gcd
from typing import NamedTuple

from tabtools.model.solo import Group, Rest, Slot, Stroke
from tabtools.score.grid import Stretch
from tabtools.score.records import Tuplet
from tabtools.score.values import LONGEST, is_plain, is_value, odd_part
from tabtools.timeline.spread import divide, leaves, shape_of

STROKE, HOLD, REST = "stroke", "hold", "rest"
"""What a slot is; a group is the shape within it."""

SHORTEST_TIED = Fraction(1, 4)
"""Slots that no single value is as long as are written tied if a sixteenth divides them; finer ones as a tuplet."""

Shape = tuple[tuple[object, int], ...]


class Piece(NamedTuple):
    """A stroke, a hold or a rest: `length` is real, `written` what stands on paper within its tuplets.

    `doubt` is the line (onset and length) that it stands on, where the count of that is doubtful.
    """

    kind: str
    onset: Fraction
    length: Fraction
    written: Fraction
    tuplets: tuple[Tuplet, ...]
    doubt: Stretch | None = None


def slots_shape(slots: tuple[Slot, ...]) -> Shape:
    """Slots without their notes: (kind or shape within, weight) of each."""
    return tuple([(_kind(slot), slot.weight) for slot in slots])


def _kind(slot: Slot) -> object:
    if isinstance(slot, Group):
        return slots_shape(slot.slots)
    if isinstance(slot, Stroke):
        return STROKE
    return REST if isinstance(slot, Rest) else HOLD


@lru_cache(maxsize=4096)
def pieces(shape: Shape, onset: Fraction, length: Fraction) -> tuple[Piece, ...]:
    """The slots of a line that begins at `onset`, groups opened, holds joined to what they hold.

    Raises `ValueError` for a length that values cannot add up to.
    """
    if not is_plain(length):
        raise ValueError(length)
    found: list[Piece] = []
    _divide(shape, onset, length, length, (), found)
    return tuple(found)


def doubtful_pieces(slots: tuple[Slot, ...], onset: Fraction, length: Fraction) -> list[Piece]:
    """The slots of a line whose rhythm is not known, groups opened: even shares, and no values."""
    shares = divide(shape_of(slots), onset, length)
    return [
        Piece(str(_kind(slot)), start, share, share, (), (onset, length))
        for slot, (start, share) in zip(leaves(slots), shares, strict=True)
    ]


def _divide(
    shape: Shape,
    onset: Fraction,
    length: Fraction,
    written: Fraction,
    tuplets: tuple[Tuplet, ...],
    found: list[Piece],
) -> None:
    joined = _joined(shape)
    total = sum(weight for _, weight in joined)
    unit = written / total
    if len(joined) > 1 and not _is_written_plainly(unit):
        tuplet = _tuplet(onset, len(tuplets), written, total)
        tuplets, unit = (*tuplets, tuplet), tuplet.unit
    real = length / total
    for kind, weight in joined:
        share, own = (real, unit) if weight == 1 else (real * weight, unit * weight)
        if isinstance(kind, tuple):
            _divide(kind, onset, share, own, tuplets, found)
        else:
            found.append(Piece(str(kind), onset, share, own, tuplets))
        onset += share


def _joined(shape: Shape) -> list[tuple[object, int]]:
    """Slots with the holds behind them (rests: with those too), in the smallest whole weights."""
    joined: list[tuple[object, int]] = []
    for kind, weight in shape:
        before = joined[-1][0] if joined else None
        if isinstance(before, str) and (kind == HOLD or kind == before == REST):
            joined[-1] = (before, joined[-1][1] + weight)
        else:
            joined.append((kind, weight))
    divisor = gcd(*(weight for _, weight in joined))
    return [(kind, weight // divisor) for kind, weight in joined]


def _is_written_plainly(unit: Fraction) -> bool:
    return is_value(unit) or (is_plain(unit) and SHORTEST_TIED.denominator % unit.denominator == 0)


def _tuplet(onset: Fraction, depth: int, written: Fraction, shares: int) -> Tuplet:
    """So many notes in the time of as many plain ones as come next below, or of more where those would be too long."""
    normal = odd_part(written.numerator)
    while (normal * 2 <= shares or written / normal > LONGEST) and is_plain(written / (normal * 2)):
        normal *= 2
    return Tuplet(onset, depth, shares, normal, written / normal)
