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


class _Way(NamedTuple):
    """A way to have come so far: its bits, the last proposal in it, and the way before that."""

    bits: float
    proposal: Proposal | None
    before: _Way | None


class Cover(NamedTuple):
    """The proposals chosen, in order, and what the whole costs."""

    proposals: tuple[Proposal, ...]
    bits: float


def cheapest(first: int, left_out: Sequence[float], proposals: Sequence[Proposal]) -> Cover:
    """The cheapest cover of the strokes from `first` on; `left_out` are the bits of each where nothing explains it.

    Of covers that cost the same it is the one whose proposals stand first in the list given.
    """
    count = len(left_out)
    ending: list[list[Proposal]] = [[] for _ in range(count)]
    for proposal in proposals:
        ending[proposal.last - first].append(proposal)
    ways = [_Way(0.0, None, None)]
    hinges: list[_Way | None] = [None] * count
    for place in range(count):
        best = ways[place]._replace(bits=ways[place].bits + left_out[place])
        for proposal in ending[place]:
            start = proposal.first - first
            before, bits = ways[start], ways[start].bits + proposal.bits
            hinge = hinges[start]
            if hinge is not None and hinge.bits + proposal.bits - proposal.hinge < bits:
                before, bits = hinge, hinge.bits + proposal.bits - proposal.hinge
            way = _Way(bits, proposal, before)
            ended = hinges[place]
            if ended is None or bits < ended.bits:
                hinges[place] = way
            if bits < best.bits:
                best = way
        ways.append(best)
    return Cover(_chosen(ways[-1]), ways[-1].bits)


def _chosen(way: _Way) -> tuple[Proposal, ...]:
    chosen: list[Proposal] = []
    step: _Way | None = way
    while step is not None and step.proposal is not None:
        chosen.append(step.proposal)
        step = step.before
    return tuple(reversed(chosen))
