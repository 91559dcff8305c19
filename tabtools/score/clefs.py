"""Clefs: which line is which pitch, and where the signs of a signature stand."""

from __future__ import annotations

from typing import NamedTuple

from tabtools.model.instrument import Instrument
from tabtools.model.pitch import LETTERS, Tone

HIGHEST_BASS_STRING = 48
"""A MIDI number: an instrument without a string above it is a bass."""


class Clef(NamedTuple):
    """A clef: its sign, and the step (as `StaffPlace` counts them) of the bottom line.

    `sharps` and `flats` are the steps from the bottom line on which a signature's signs stand, F and B first. Both
    clefs are read an octave lower than their signs alone would say, as guitars and basses sound.
    """

    sign: str
    bottom: int
    sharps: tuple[int, ...]
    flats: tuple[int, ...]

    def step(self, place: int) -> int:
        """The step over the bottom line of a place of the staff."""
        return place - self.bottom


TREBLE = Clef("treble", 7 * 3 + LETTERS.index("E"), (8, 5, 9, 6, 3, 7, 4), (4, 7, 3, 6, 2, 5, 1))
BASS = Clef("bass", 7 * 1 + LETTERS.index("G"), (6, 3, 7, 4, 1, 5, 2), (2, 5, 1, 4, 0, 3, -1))


def clef_of(instrument: Instrument) -> Clef:
    """The bass clef for a bass, the treble clef for all else."""
    return BASS if max(instrument.tuning.midi) <= HIGHEST_BASS_STRING else TREBLE


def signature_steps(tones: tuple[Tone, ...], clef: Clef) -> list[int]:
    """The step of each sign of a signature (Elaine Gould, Behind Bars, 2011, chapter 3, from memory)."""
    if not tones:
        return []
    return list((clef.sharps if tones[0].alteration > 0 else clef.flats)[: len(tones)])
