"""What a detector proposes to say of some strokes, with what saying it costs."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from tabtools.study.devices.device import Device


class Proposal(NamedTuple):
    """Strokes `first` to `last` of a melody, both inclusive, explained by one device.

    `bits` are what it costs to say all of it, borders left aside; `hinge` is the part of its first note, which is
    free where another explanation has ended with that note. Once borders are counted in, `hinge` has those of the
    first note too: two that join need none. `tell` makes the device, once it is chosen. `figure` are the strokes that
    are heard for the first time in a figure that comes again: counted in `bits` as new, they cost less where something
    else explains them.
    """

    kind: str
    first: int
    last: int
    bits: float
    hinge: float
    tell: Callable[[], Device]
    figure: frozenset[int] = frozenset()
