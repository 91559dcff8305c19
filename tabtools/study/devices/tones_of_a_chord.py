"""Whether a note of a line is a tone of its chord there, or only leans on one."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from tabtools.study.backing import Backing


def stands_as_ninth(tops: Sequence[int], backing: Backing) -> bool:
    """Whether a ninth is a tone of its chord: leapt to, or from, and not given up for the root a step below.

    Where the symbol asks for it, it is given up where the line ends with that root.
    """
    ninth = ((backing.root or 0) + 2) % 12
    is_asked = backing.tones[ninth] == "extension"
    steps = pairwise(tops[-2:] if is_asked else tops)
    return not any(here % 12 == ninth and after == here - 2 for here, after in steps) and is_leapt(tops, ninth)


def is_leapt(tops: Sequence[int], tone: int) -> bool:
    """Whether a tone is leapt to, or from, each time."""
    around = zip((*tops[:1], *tops[:-1]), tops, (*tops[1:], *tops[-1:]), strict=True)
    return all(max(abs(before - here), abs(after - here)) > 2 for before, here, after in around if here % 12 == tone)


def gives_way(tops: Sequence[int], tone: int, backing: Backing) -> bool:
    """Whether a tone strange to the chord goes by a semitone to one of its tones each time."""
    if tone in backing.core or backing.root is None:
        return False
    places = [at for at, top in enumerate(tops) if top % 12 == tone]
    return bool(places) and all(
        at + 1 < len(tops) and abs(tops[at + 1] - tops[at]) == 1 and tops[at + 1] % 12 in backing.core for at in places
    )


def is_stack(tops: Sequence[int], root: int) -> bool:
    """Whether five thirds from the root up, or down to it, stand one after another."""
    for way in (tops, tops[::-1]):
        moves = [after - before for before, after in pairwise(way)]
        for at in range(len(moves) - 3):
            if way[at] % 12 == root and all(move in (3, 4) for move in moves[at : at + 4]):
                return True
    return False
