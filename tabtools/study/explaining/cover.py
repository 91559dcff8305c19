"""The cheapest way to explain a phrase, found exactly.

A cover is a choice of proposals that share no stroke, except that one may begin with the note another ends with (a
hinge). Its cost is what its proposals cost and what the strokes cost that none of them explains. The cheapest is found
from left to right: the best way to have come so far is the best way to have come to some proposal's first stroke, and
that proposal. This takes time in proportion to strokes and proposals.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from tabtools.study.explaining.proposal import Proposal


class Cover(NamedTuple):
    """The proposals chosen, in order, and what the whole costs."""

    proposals: tuple[Proposal, ...]
    bits: float


Step = tuple[Proposal, "Step | None"]
"""A way to have come so far: its last proposal, and the way before that."""


def cheapest(first: int, left_out: Sequence[float], proposals: Sequence[Proposal]) -> Cover:
    """The cheapest cover of the strokes from `first` on; `left_out` are the bits of each where nothing explains it.

    Of covers that cost the same it is the one whose proposals stand first in the list given.
    """
    ending: dict[int, list[Proposal]] = {}
    for proposal in proposals:
        ending.setdefault(proposal.last - first, []).append(proposal)
    costs: list[float] = [0.0]
    ways: list[Step | None] = [None]
    hinges: dict[int, tuple[float, Step]] = {}
    for place, alone in enumerate(left_out):
        best, way = costs[place] + alone, ways[place]
        for proposal in ending.get(place, ()):
            start = proposal.first - first
            bits, before = costs[start] + proposal.bits, ways[start]
            hinge = hinges.get(start)
            if hinge is not None and hinge[0] + proposal.bits - proposal.hinge < bits:
                bits, before = hinge[0] + proposal.bits - proposal.hinge, hinge[1]
            if place not in hinges or bits < hinges[place][0]:
                hinges[place] = bits, (proposal, before)
            if bits < best:
                best, way = bits, (proposal, before)
        costs.append(best)
        ways.append(way)
    return Cover(_chosen(ways[-1]), costs[-1])


def _chosen(way: Step | None) -> tuple[Proposal, ...]:
    chosen: list[Proposal] = []
    while way is not None:
        proposal, way = way
        chosen.append(proposal)
    return tuple(reversed(chosen))
