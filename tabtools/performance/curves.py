"""Curves of pitch as they sound: a bend leaves and arrives gently, a slide goes from fret to fret."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil, cos, pi

from tabtools.performance.records import CurvePoint, CurveShape

STEP, SHORTEST_STEP = 0.05, 0.004
"""Semitones and seconds between the moments of a bend that are told apart."""


def sampled(curve: Sequence[CurvePoint]) -> Iterator[tuple[float, float]]:
    """(moment, pitch) wherever the pitch changes, close enough to each other that a bend is smooth."""
    for point in curve[:1]:
        yield point.moment, point.pitch
    for before, after in pairwise(curve):
        for share in _shares(before, after):
            yield before.moment + (after.moment - before.moment) * share, _between(before, after, share)
        yield after.moment, after.pitch


def _shares(before: CurvePoint, after: CurvePoint) -> list[float]:
    """The moments at which the pitch changes between two points, as shares of the way."""
    way, length = abs(after.pitch - before.pitch), after.moment - before.moment
    steps = 0
    if after.shape == CurveShape.FRETS:
        steps = _frets(way)
    elif after.shape == CurveShape.GLIDE:
        steps = min(ceil(way / STEP), int(length / SHORTEST_STEP))
    return [place / steps for place in range(1, steps)]


def _between(before: CurvePoint, after: CurvePoint, share: float) -> float:
    """The pitch after a share of the way."""
    way = after.pitch - before.pitch
    if after.shape == CurveShape.GLIDE:
        return before.pitch + way * (1 - cos(pi * share)) / 2
    frets = _frets(way)
    return before.pitch + way * round(share * frets) / frets


def _frets(way: float) -> int:
    return max(1, round(abs(way)))
