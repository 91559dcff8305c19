"""The same pitches at other places on the neck, where a hand can play them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, islice
from math import inf
from typing import NamedTuple

from tabtools.hand.grip import Grip, Stop
from tabtools.hand.moves import Moves
from tabtools.hand.neck import Neck
from tabtools.hand.profile import COMFORT_STRAIN, WARNING_STRAIN, HandProfile
from tabtools.hand.stance import FINGERS_OF_A_HAND, reach_strain
from tabtools.model.instrument import Instrument

Spot = tuple[int, int]
"""(string, fret)."""

WIDEST_FRETS = 7
MOST_TRIED = 200


class Elsewhere(NamedTuple):
    """The same pitches in the same order at other spots, and how far apart the outer fingers stand, in mm."""

    spots: tuple[Spot, ...]
    reach_mm: float


def spots_of(midi: int, instrument: Instrument, last_fret: int) -> list[Spot]:
    """Every spot of a pitch, from the highest string to the lowest."""
    frets = ((string, midi - instrument.open_midi(string)) for string in range(1, instrument.strings + 1))
    return [(string, fret) for string, fret in frets if 0 <= fret <= last_fret]


def _same_pitch(spot: Spot, instrument: Instrument, last_fret: int) -> list[Spot]:
    """A spot and every other of its pitch."""
    string, fret = spot
    return spots_of(instrument.open_midi(string) + fret, instrument, last_fret)


def chord_elsewhere(
    spots: Sequence[Spot], instrument: Instrument, moves: Moves, below_mm: float = inf
) -> Elsewhere | None:
    """Notes held together, at spots that one comfortable grip holds; nearest to where they were written.

    The fingers stand nearer to each other there than `below_mm`: another place is no help where it asks for more.
    """
    choices = [_same_pitch(spot, instrument, moves.neck.frets) for spot in spots]
    best: tuple[tuple[bool, int], Elsewhere] | None = None
    for placed in islice(_in_reach(choices, ()), MOST_TRIED):
        if placed == tuple(spots):
            continue
        stops = tuple(Stop(*spot) for spot in sorted(placed) if spot[1])
        if not stops:
            return Elsewhere(placed, 0.0)
        shape = moves.shape(stops, tuple(string for string, fret in sorted(placed) if not fret))
        grip = min(shape.grips, key=lambda one: (one.strain, one.cost))
        width = _width(grip, moves.neck)
        if shape.needed > FINGERS_OF_A_HAND or grip.strain > WARNING_STRAIN or width >= below_mm:
            continue
        away = sum(abs(fret - old) for (_, fret), (_, old) in zip(placed, spots, strict=True))
        rank = grip.strain > COMFORT_STRAIN, away
        if best is None or rank < best[0]:
            best = rank, Elsewhere(placed, width)
    return best[1] if best else None


def _in_reach(choices: Sequence[Sequence[Spot]], placed: tuple[Spot, ...]) -> Iterator[tuple[Spot, ...]]:
    """Every choice of spots on strings of their own whose frets lie near each other."""
    if len(placed) == len(choices):
        yield placed
        return
    taken = {string for string, _ in placed}
    frets = [fret for _, fret in placed if fret]
    for string, fret in choices[len(placed)]:
        near = not fret or all(abs(fret - other) <= WIDEST_FRETS for other in frets)
        if near and string not in taken:
            yield from _in_reach(choices, (*placed, (string, fret)))


def _width(grip: Grip, neck: Neck) -> float:
    frets = [fret for _, fret in grip.frets]
    return neck.gap(min(frets), max(frets))


def slur_elsewhere(
    string: int, frets: Sequence[int], instrument: Instrument, neck: Neck, profile: HandProfile
) -> Elsewhere | None:
    """Notes slurred on one string, on another where two fingers can span them and less far; the nearest such string."""
    written = neck.gap(min(frets), max(frets))
    found = []
    for other in range(1, instrument.strings + 1):
        moved = instrument.open_midi(string) - instrument.open_midi(other)
        placed = tuple((other, fret + moved) for fret in frets)
        if other == string or not all(0 <= fret <= neck.frets for _, fret in placed):
            continue
        stopped = [fret for _, fret in placed if fret]
        gap = max((neck.gap(one, two) for one, two in combinations(stopped, 2)), default=0.0)
        if gap < written and reach_strain(1, 4, gap, profile) <= WARNING_STRAIN:
            found.append((abs(other - string), Elsewhere(placed, gap)))
    return min(found)[1] if found else None


def line_in_position(
    spots: Sequence[Spot], position: int, instrument: Instrument, neck: Neck
) -> tuple[Spot, ...] | None:
    """Notes one after the other, each within a finger a fret of a position: first finger to fourth, or open."""
    placed = []
    for spot in spots:
        near = [
            (string, fret)
            for string, fret in _same_pitch(spot, instrument, neck.frets)
            if not fret or position <= fret <= position + 3
        ]
        if not near:
            return None
        placed.append(min(near, key=lambda one: abs(one[0] - spot[0])))
    return tuple(placed)


def spoken(spots: Sequence[Spot]) -> str:
    """Spots as they are written: `2:13 1:10`."""
    return " ".join(f"{string}:{fret}" for string, fret in spots)
