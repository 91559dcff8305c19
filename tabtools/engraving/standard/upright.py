"""Stems and the beams that join them: how long, how slanted (Elaine Gould, Behind Bars, 2011, chapter 1, from memory).

A stem is an octave long, longer under many flags, and reaches the middle line from ledger lines. A beam slants with
its outer notes, less than they do, and lies flat where an inner note is nearest to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from tabtools.engraving.standard.notated import StaffEvent
from tabtools.engraving.standard.sizes import BEAM, BEAM_STEP, MIDDLE, SPACE, STEM, height
from tabtools.score.records import BACKWARD, BEGIN, CONTINUE, END, FORWARD

QUARTER = 2
SHORTEST = 3.0 * SPACE
SLANTS = (0.0, 2.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0)
"""How far a beam rises in pixels, by the steps between its outer notes; the last for all wider ones."""
STEEPEST = 0.2
STUB = 7.0
SITS = (0.0, 4.0, 6.0)
"""Where the edge of a beam may stand within a space: it hangs from a line, sits on one, or straddles it."""


class Stem(NamedTuple):
    """A stem from the head it starts at to its tip, in heights."""

    head: float
    tip: float


@dataclass(frozen=True, slots=True)
class Beam:
    """A bar of a beam in pixels: from and to a place along the piece, the heights of its outer edge there.

    Its inner edge lies below if it is `up`, above else.
    """

    left: float
    right: float
    left_y: float
    right_y: float


def ends_of(event: StaffEvent) -> tuple[float, float]:
    """The heights of the head that a stem starts at, and of the one nearest to its tip."""
    steps = [one.step for one in event.heads]
    low, high = height(min(steps)), height(max(steps))
    return (low, high) if event.is_up else (high, low)


def single_stem(event: StaffEvent) -> Stem:
    """The stem of a value that no beam holds."""
    start, near = ends_of(event)
    length = STEM + BEAM_STEP * max(0, event.event.halvings - QUARTER - 2)
    if event.is_up:
        return Stem(start, min(near - length, MIDDLE))
    return Stem(start, max(near + length, MIDDLE))


def beamed_stems(group: Sequence[StaffEvent], xs: Sequence[float]) -> tuple[list[Stem], list[Beam]]:
    """The stems and beams of a group whose columns stand at these places."""
    way = -1 if group[0].is_up else 1
    near = [ends_of(event)[1] for event in group]
    slant = _slant(near, xs, way)
    width = xs[-1] - xs[0]
    rises = [slant * (x - xs[0]) / width if width else 0.0 for x in xs]
    needs = [
        (y - rise + way * max(SHORTEST, _least(event))) * way for y, rise, event in zip(near, rises, group, strict=True)
    ]
    outer = max(max(needs), way * MIDDLE - min(0.0, way * slant)) * way
    outer = _seated(outer, way)
    stems = [Stem(ends_of(event)[0], outer + rise) for event, rise in zip(group, rises, strict=True)]
    return stems, list(_beams(group, xs, outer, slant, way))


def _least(event: StaffEvent) -> float:
    """The shortest stem that leaves a space between the head and the innermost beam."""
    beams = event.event.halvings - QUARTER
    return BEAM_STEP * (beams - 1) + BEAM + 1.25 * SPACE


def _slant(near: Sequence[float], xs: Sequence[float], way: int) -> float:
    first, last = near[0], near[-1]
    outermost = max(first * way, last * way)
    if first == last or any(y * way > outermost for y in near[1:-1]):
        return 0.0
    steps = round(abs(last - first) / (SPACE / 2))
    rise = min(SLANTS[min(steps, len(SLANTS) - 1)], STEEPEST * (xs[-1] - xs[0]))
    return rise if last > first else -rise


def _seated(outer: float, way: int) -> float:
    """The height of a beam's outer edge moved away from the heads to where it stands well on the lines."""
    base = outer * way
    whole, rest = divmod(base, SPACE)
    seat = next((one for one in SITS if one >= rest - 1e-6), float(SPACE))
    return (whole * SPACE + seat) * way


def _beams(group: Sequence[StaffEvent], xs: Sequence[float], outer: float, slant: float, way: int) -> list[Beam]:
    width = xs[-1] - xs[0]

    def beam(level: int, left: float, right: float) -> Beam:
        y = outer - way * BEAM_STEP * level
        return Beam(left, right, y + slant * (left - xs[0]) / width, y + slant * (right - xs[0]) / width)

    found: list[Beam] = []
    begun: dict[int, float] = {}
    for event, x in zip(group, xs, strict=True):
        for level, does in enumerate(event.event.beams):
            if does == BEGIN:
                begun[level] = x
            elif does == END:
                found.append(beam(level, begun.pop(level), x))
            elif does == FORWARD:
                found.append(beam(level, x, x + STUB))
            elif does == BACKWARD:
                found.append(beam(level, x - STUB, x))
            else:
                assert does == CONTINUE
    return found
