"""Pitch: names in scientific notation, MIDI numbers, cents, hertz.

A pitch is a MIDI number: a semitone each, 60 is C4, 69 is A4 (MIDI 1.0 key numbers; A4 = 440 Hz by
ISO 16:1975 unless a recording's own reference is given). Fractions of a semitone are bends, quarter tones
and the pure harmonics of a string.
"""

from __future__ import annotations

import re
from typing import NamedTuple

LETTERS = "CDEFGAB"
NATURALS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
SHARP_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
FLAT_NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")

A4_MIDI = 69
IN_TUNE_CENTS = 5

_PITCH = re.compile(r"([A-G])(##|bb|#|b)?(-?[0-9])\Z")


class Tone(NamedTuple):
    """A spelled tone without an octave: a letter and an alteration in semitones (+1 sharp, -1 flat)."""

    letter: str
    alteration: int = 0

    @property
    def pitch_class(self) -> int:
        """0 for C to 11 for B."""
        return (NATURALS[self.letter] + self.alteration) % 12

    def __str__(self) -> str:
        return self.letter + ("#" * self.alteration if self.alteration >= 0 else "b" * -self.alteration)


def parse_tone(text: str) -> Tone:
    """`F#`, `Bb`, `C` as a `Tone`. Raises `ValueError` for anything else."""
    if not re.fullmatch(r"[A-G](?:#{0,2}|b{0,2})", text):
        raise ValueError(text)
    return Tone(text[0], text.count("#") - text[1:].count("b"))


def parse_pitch(text: str) -> int:
    """`D4`, `F#2`, `Bb3` as a MIDI number (C4 is 60). Raises `ValueError` for anything else."""
    match = _PITCH.match(text)
    if match is None:
        raise ValueError(text)
    letter, accidental, octave = match.groups()
    alteration = {None: 0, "#": 1, "##": 2, "b": -1, "bb": -2}[accidental]
    return NATURALS[letter] + alteration + 12 * (int(octave) + 1)


def pitch_name(midi: float, tone: Tone | None = None, flats: bool = False) -> str:
    """A pitch in scientific notation, `F#4`; off the semitone by more than 5 cents it says so, `F#4+50c`.

    `tone` spells it (it must lie within a semitone of `midi`); otherwise sharps or, on demand, flats do.
    """
    nearest = nearest_semitone(midi)
    cents = round((midi - nearest) * 100)
    if tone is None:
        name = (FLAT_NAMES if flats else SHARP_NAMES)[nearest % 12]
        octave = nearest // 12 - 1
    else:
        name = str(tone)
        octave = (nearest - tone.alteration) // 12 - 1
    suffix = f"{cents:+d}c" if abs(cents) > IN_TUNE_CENTS else ""
    return f"{name}{octave}{suffix}"


def nearest_semitone(midi: float) -> int:
    """The semitone a pitch is named after; an exact quarter tone counts from below."""
    return -int(-(midi - 0.5) // 1)


def frequency(midi: float, reference: float = 440.0) -> float:
    """Hertz of a pitch in equal temperament, `reference` being A4 (ISO 16:1975: 440 Hz)."""
    return reference * 2 ** ((midi - A4_MIDI) / 12)
