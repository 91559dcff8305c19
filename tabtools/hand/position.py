"""Where the fretting hand stands: the one home of positions.

A position is the fret of the first finger, whether it plays or not, and is written as players write it: `VII`.
Whatever tells a position (fingers below the tab, shifts, statistics, drafted lessons, claims, pages) takes it from the
fingering, by way of this module.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from tabtools.hand.hand import Hand
from tabtools.model.solo import Fret

NUMERALS = ((10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I"))


HAND_FRETS = 4
"""The fourth finger reaches so many frets above the first."""


class Stay(NamedTuple):
    """The hand stays in a position, from the first note that it frets there to the last, by their indices.

    Notes between them that no finger holds are in the stay as well. A slide within a note ends one stay and begins
    another: the note is the last of one, the first of the other.
    """

    position: int
    first: int
    last: int


def stays_of(hand: Hand) -> tuple[Stay, ...]:
    """Every stay of a solo, in order."""
    lasts = {press.grasp: index for index, presses in enumerate(hand.pressed) for press in presses}
    found: list[Stay] = []
    position, first, last = None, 0, 0
    for grasp in hand.grasps:
        if grasp not in lasts:
            continue
        if grasp.grip.position == position:
            last = max(last, lasts[grasp])
            continue
        begins = grasp.struck.note
        if position is not None:
            found.append(Stay(position, first, max(first, min(last, begins))))
        position, first, last = grasp.grip.position, begins, lasts[grasp]
    return (*found, Stay(position, first, last)) if position is not None else ()


def positions_at(hand: Hand, notes: Iterable[int]) -> tuple[int, ...]:
    """The positions in which the hand frets these notes, each once, in order."""
    return tuple(dict.fromkeys(press.grasp.grip.position for note in notes for press in hand.pressed[note]))


def is_within_reach(position: int, fret: Fret) -> bool:
    """Whether a finger reaches a fret from a position: a finger a fret, a stretch of one fret either way."""
    return position - 1 <= fret <= position + HAND_FRETS


def roman(number: int) -> str:
    """A position as players write it: fret 7 is `VII`."""
    text = ""
    for value, numeral in NUMERALS:
        while number >= value:
            text += numeral
            number -= value
    return text
