"""Keys, scales and chord symbols as they are written; what they sound is worked out in `tabtools.harmony`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

from tabtools.model.pitch import LETTERS, NATURALS, Tone

_MAJOR = (0, 2, 4, 5, 7, 9, 11)
_DEGREE = re.compile(r"(b{0,2}|#{0,2})([1-9]|1[0-3])\Z")


class Degree(NamedTuple):
    """A step above a root or tonic: 1 to 13 counted along the major scale, and its alteration in semitones.

    `Degree(3, -1)` is b3, `Degree(9, 1)` is #9, `Degree(7, -2)` is bb7.
    """

    number: int
    alteration: int = 0

    @property
    def semitones(self) -> int:
        """Above the root, compound steps included: 15 for #9."""
        octaves, step = divmod(self.number - 1, 7)
        return _MAJOR[step] + 12 * octaves + self.alteration

    @property
    def pitch_class(self) -> int:
        """Semitones above the root within an octave: 3 for #9 and for b3."""
        return self.semitones % 12

    def __str__(self) -> str:
        sign = "#" * self.alteration if self.alteration > 0 else "b" * -self.alteration
        return f"{sign}{self.number}"


def parse_degree(text: str) -> Degree:
    """`b3`, `#11`, `bb7`, `1` as a `Degree`. Raises `ValueError` for anything else."""
    match = _DEGREE.match(text)
    if match is None:
        raise ValueError(text)
    return Degree(int(match[2]), match[1].count("#") - match[1].count("b"))


def tone_above(root: Tone, degree: Degree) -> Tone:
    """The tone a degree stands for by its letter, double accidentals and all: b3 above Gb is Bbb."""
    letter = LETTERS[(LETTERS.index(root.letter) + degree.number - 1) % 7]
    alteration = (root.pitch_class + degree.semitones - NATURALS[letter] + 6) % 12 - 6
    return Tone(letter, alteration)


SCALE_DEGREES = {
    "major pentatonic": "1 2 3 5 6",
    "minor pentatonic": "1 b3 4 5 b7",
    "minor six pentatonic": "1 b3 4 5 6",
    "blues": "1 b3 4 b5 5 b7",
    "major blues": "1 2 b3 3 5 6",
    "whole tone": "1 2 3 #4 #5 b7",
    "augmented": "1 #2 3 5 #5 7",
    "major": "1 2 3 4 5 6 7",
    "ionian": "1 2 3 4 5 6 7",
    "minor": "1 2 b3 4 5 b6 b7",
    "aeolian": "1 2 b3 4 5 b6 b7",
    "dorian": "1 2 b3 4 5 6 b7",
    "mixolydian": "1 2 3 4 5 6 b7",
    "phrygian": "1 b2 b3 4 5 b6 b7",
    "lydian": "1 2 3 #4 5 6 7",
    "locrian": "1 b2 b3 4 b5 b6 b7",
    "harmonic minor": "1 2 b3 4 5 b6 7",
    "locrian natural 6": "1 b2 b3 4 b5 6 b7",
    "ionian augmented": "1 2 3 4 #5 6 7",
    "dorian #4": "1 2 b3 #4 5 6 b7",
    "phrygian dominant": "1 b2 3 4 5 b6 b7",
    "lydian #2": "1 #2 3 #4 5 6 7",
    "ultralocrian": "1 b2 b3 b4 b5 b6 bb7",
    "melodic minor": "1 2 b3 4 5 6 7",
    "dorian b2": "1 b2 b3 4 5 6 b7",
    "lydian augmented": "1 2 3 #4 #5 6 7",
    "lydian dominant": "1 2 3 #4 5 6 b7",
    "mixolydian b6": "1 2 3 4 5 b6 b7",
    "locrian natural 2": "1 2 b3 4 b5 b6 b7",
    "altered": "1 b2 b3 b4 b5 b6 b7",
    "harmonic major": "1 2 3 4 5 b6 7",
    "double harmonic": "1 b2 3 4 5 b6 7",
    "hungarian minor": "1 2 b3 #4 5 b6 7",
    "half-whole diminished": "1 b2 b3 3 #4 5 6 b7",
    "whole-half diminished": "1 2 b3 4 b5 b6 6 7",
    "bebop dominant": "1 2 3 4 5 6 b7 7",
    "bebop major": "1 2 3 4 5 #5 6 7",
    "bebop minor": "1 2 b3 3 4 5 6 b7",
    "chromatic": "1 b2 2 b3 3 4 #4 5 b6 6 b7 7",
}
"""Scale name → its degrees (common practice), from few tones to many, the more usual first among equals."""

_KEY_MODES = (
    "major",
    "minor",
    "ionian",
    "dorian",
    "phrygian",
    "lydian",
    "mixolydian",
    "aeolian",
    "locrian",
    "harmonic minor",
    "melodic minor",
    "phrygian dominant",
    "lydian dominant",
    "blues",
    "major pentatonic",
    "minor pentatonic",
)


def scale_degrees(name: str) -> tuple[Degree, ...]:
    """The degrees of a scale of `SCALE_DEGREES`, rising. Raises `KeyError` for a name that is not there."""
    return tuple(parse_degree(text) for text in SCALE_DEGREES[name].split())


MODES = {name: tuple(degree.semitones for degree in scale_degrees(name)) for name in _KEY_MODES}
"""The scales a key can be written in: mode word → semitones above the tonic."""


@dataclass(frozen=True, slots=True)
class Key:
    """A tonic and a mode word of `MODES`."""

    tonic: Tone
    mode: str

    @property
    def semitones(self) -> tuple[int, ...]:
        """The scale as semitones above the tonic."""
        return MODES[self.mode]

    def __str__(self) -> str:
        return f"{self.tonic} {self.mode}"


@dataclass(frozen=True, slots=True)
class ChordSymbol:
    """A chord symbol as it was read.

    `text` is what was written; `degrees` are the tones it asks for, from the root up, and never two of one
    pitch class; `available` are tones it offers without asking for them (the altered tones of `alt`); `bass`
    is the tone after the slash.
    """

    text: str
    root: Tone
    degrees: tuple[Degree, ...]
    bass: Tone | None = None
    available: tuple[Degree, ...] = ()

    def __hash__(self) -> int:
        return hash(self.text)

    def __str__(self) -> str:
        return self.text

    @property
    def has_seventh(self) -> bool:
        return any(degree.number == 7 for degree in self.degrees)
