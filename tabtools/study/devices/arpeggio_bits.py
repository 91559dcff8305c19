"""What it costs to say an arpeggio: which chord it is over the one that sounds, and the way it takes."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

from tabtools.study.backing import Backing
from tabtools.study.devices.chord_names import RARE
from tabtools.study.explaining import costs
from tabtools.study.melody import Struck

FEW = 6
"""Notes of an arpeggio that goes one way or turns once; longer ones are patterns."""
OCTAVE = 12


@lru_cache(maxsize=8192)
def way_bits(moves: tuple[int, ...]) -> float:
    """What it costs that a line goes up and down, leaps to another voice, and that pitches are struck again."""
    again = costs.STRUCK_AGAIN * moves.count(0)
    again += costs.FAR_LEAP * sum([abs(move) > OCTAVE for move in moves])
    if len(moves) >= FEW:
        return again
    ways = [move > 0 for move in moves if move]
    turns = sum([before != after for before, after in pairwise(ways)])
    return costs.TURN * max(0, turns - 1) + again


def leans(first: Struck, after: Struck, backing: Backing) -> bool:
    """Whether the first note is foreign to the chord and gives way by a semitone to one of its tones."""
    is_semitone = abs(first.top - after.top) == 1
    return is_semitone and first.top % 12 not in backing.core and after.top % 12 in backing.core


@lru_cache(maxsize=8192)
def chord_bits(tones: int, root: int, shape: str, backing: Backing) -> float:
    """How much more has to be said of which chord it is."""
    sounding = {backing.tones[tone] for tone in range(12) if tones >> tone & 1}
    rare = costs.RARE_SHAPE * (shape in RARE)
    if "" in sounding:
        return costs.TOP_OF_CHORD
    if sounding <= {"chord tone", "extension"}:
        return costs.SOUNDING_CHORD if root == backing.root else costs.TOP_OF_CHORD
    if "chromatic" in sounding or _clashes(tones, backing):
        return costs.SUPERIMPOSED + rare
    if root == backing.root:
        return costs.SOUNDING_CHORD
    if backing.chord is None:
        return costs.TOP_OF_CHORD + rare
    coloured = all(
        backing.tones[tone] in ("chord tone", "extension") or backing.is_available(tone)
        for tone in range(12)
        if tones >> tone & 1
    )
    return (costs.TOP_OF_CHORD if coloured else costs.OTHER_IN_SCALE) + rare


def _clashes(tones: int, backing: Backing) -> bool:
    """Whether it has the minor third of a chord with a major one, and not that."""
    if backing.root is None or (backing.root + 4) % 12 not in backing.core:
        return False
    return bool(tones >> (backing.root + 3) % 12 & 1) and not tones >> (backing.root + 4) % 12 & 1
