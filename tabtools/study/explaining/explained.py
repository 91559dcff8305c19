"""Each phrase of a solo explained once: the proposals chosen for it, and what its strokes cost then."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate
from typing import NamedTuple

from tabtools.study.backing import Backing
from tabtools.study.explaining import costs
from tabtools.study.explaining.borders import borders_of
from tabtools.study.explaining.cover import cheapest
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.melody import Struck
from tabtools.study.music import Music


class Explained(NamedTuple):
    """What was chosen for a solo.

    `proposals` are those chosen, in order, with their borders in their bits; `saved` how many bits each of them saves.
    `bits` are what each stroke costs, its part of the proposal that explains it or as it stands; `begins` are the
    strokes where a phrase or a proposal begins; `phrases` are the first and last stroke of each phrase.
    """

    proposals: tuple[Proposal, ...]
    saved: tuple[float, ...]
    bits: tuple[float, ...]
    begins: frozenset[int]
    phrases: frozenset[tuple[int, int]]


def explained(music: Music, proposals: Iterable[Proposal]) -> Explained:
    """The cheapest cover of each phrase by what is proposed.

    What is no figure is chosen first, as if there were none: what a stroke costs then is what it costs as a part of the
    first statement of a figure. Then all are held against each other.
    """
    phrases = _Phrases(music)
    plain: list[Proposal] = []
    figures: list[Proposal] = []
    for proposal in proposals:
        (figures if proposal.figure else plain).append(proposal)
    chosen = phrases.cheapest(plain)
    bits = phrases.bits(chosen)
    if figures:
        known = [one._replace(bits=one.bits - _known(one, bits)) for one in figures]
        chosen = phrases.cheapest([*plain, *known])
        bits = phrases.bits(chosen)
    saved = tuple(phrases.left_out_of(one) - one.bits for one in chosen)
    begins = {phrase.first for phrase in music.phrases} | {one.first for one in chosen}
    whole = frozenset((phrase.first, phrase.last) for phrase in music.phrases)
    return Explained(tuple(chosen), saved, tuple(bits), frozenset(begins), whole)


def _known(figure: Proposal, bits: Sequence[float]) -> float:
    """What the first statement of a figure costs less, as something else explains it."""
    return sum(max(0.0, costs.FIRST_TIME - bits[place]) for place in figure.figure)


class _Phrases:
    """The phrases of a solo with what their strokes and borders cost."""

    def __init__(self, music: Music):
        self.phrases = music.phrases
        self.left_out = [*map(_left_out, music.melody.strokes, music.melody.stroke_backings)]
        self.before = [0.0, *accumulate(self.left_out)]
        self.borders = borders_of(music)
        self.phrase_of = [number for number, one in enumerate(music.phrases) for _ in range(one.first, one.last + 1)]

    def left_out_of(self, proposal: Proposal) -> float:
        """What its strokes cost unexplained."""
        return self.before[proposal.last + 1] - self.before[proposal.first]

    def cheapest(self, proposals: Iterable[Proposal]) -> list[Proposal]:
        """The proposals chosen, in order, with their borders in their bits."""
        worth: list[list[Proposal]] = [[] for _ in self.phrases]
        for proposal in proposals:
            whole = proposal.bits + self.borders.bits(proposal.first, proposal.last)
            if self.left_out_of(proposal) - whole >= costs.WORTH_TELLING:
                first = proposal.first
                joined = proposal.hinge + costs.JOINED + self.borders.beginning[first] + self.borders.end[first]
                worth[self.phrase_of[first]].append(proposal._replace(bits=whole, hinge=joined))
        chosen: list[Proposal] = []
        for phrase, own in zip(self.phrases, worth, strict=True):
            if own:
                chosen.extend(cheapest(phrase.first, self.left_out[phrase.first : phrase.last + 1], own).proposals)
        return chosen

    def bits(self, chosen: Iterable[Proposal]) -> list[float]:
        """What each stroke costs: its part of the proposal that explains it, or as it stands."""
        bits = list(self.left_out)
        for one in chosen:
            for place in range(one.first, one.last + 1):
                bits[place] = min(bits[place], one.bits / (one.last - one.first + 1))
        return bits


def _left_out(struck: Struck, backing: Backing) -> float:
    """What a stroke costs that nothing explains."""
    is_outside = backing.tones[struck.top % 12] == "chromatic"
    beside = costs.LEFT_OUT_BESIDE * (len(struck.pitches) - 1)
    return (costs.LEFT_OUT_OUTSIDE if is_outside else costs.LEFT_OUT) + beside
