"""The instrument: tuning, capo, frets and strings; a place on the neck to a pitch."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from tabtools.model.pitch import parse_pitch

MIN_STRINGS, MAX_STRINGS = 4, 9
MAX_FRETS = 36

NAMED_TUNINGS = {
    "standard": "E2 A2 D3 G3 B3 E4",
    "drop D": "D2 A2 D3 G3 B3 E4",
    "double drop D": "D2 A2 D3 G3 B3 D4",
    "drop C": "C2 G2 C3 F3 A3 D4",
    "half step down": "Eb2 Ab2 Db3 Gb3 Bb3 Eb4",
    "whole step down": "D2 G2 C3 F3 A3 D4",
    "DADGAD": "D2 A2 D3 G3 A3 D4",
    "open D": "D2 A2 D3 F#3 A3 D4",
    "open E": "E2 B2 E3 G#3 B3 E4",
    "open G": "D2 G2 D3 G3 B3 D4",
    "open A": "E2 A2 E3 A3 C#4 E4",
    "open C": "C2 G2 C3 G3 C4 E4",
    "all fourths": "E2 A2 D3 G3 C4 F4",
    "seven string": "B1 E2 A2 D3 G3 B3 E4",
    "eight string": "F#1 B1 E2 A2 D3 G3 B3 E4",
    "bass": "E1 A1 D2 G2",
    "five string bass": "B0 E1 A1 D2 G2",
}
"""Tunings the trade has names for (common practice), lowest string first."""


@dataclass(frozen=True, slots=True)
class Tuning:
    """Open strings from the lowest (the last string) to the highest (string 1).

    `names` are the pitches as written, `midi` their MIDI numbers, `name` the trade's name where it was used.
    """

    names: tuple[str, ...]
    midi: tuple[int, ...]
    name: str = ""

    def __str__(self) -> str:
        return self.name or " ".join(self.names)


def tuning_of(text: str, name: str = "") -> Tuning:
    """Pitches from low to high as a `Tuning`. Raises `ValueError` with the pitch that cannot be read."""
    names = tuple(text.split())
    return Tuning(names, tuple(parse_pitch(pitch) for pitch in names), name)


STANDARD = tuning_of(NAMED_TUNINGS["standard"], "standard")


@dataclass(frozen=True, slots=True)
class Gauge:
    """One string: diameter in thousandths of an inch, plain or wound."""

    thousandths: float
    wound: bool = False

    def __str__(self) -> str:
        return f"{self.thousandths:g}{'w' if self.wound else ''}"


STANDARD_GAUGES = (Gauge(10), Gauge(13), Gauge(17), Gauge(26, True), Gauge(36, True), Gauge(46, True))


@dataclass(frozen=True, slots=True)
class Instrument:
    """A guitar as a solo's header describes it.

    `capo` is a fret; frets are counted from it. `scale_mm` is the scale length in millimetres; `gauges` run
    from string 1; `reference` is the A4 of the recording in hertz.
    """

    tuning: Tuning = STANDARD
    capo: int = 0
    frets: int = 22
    scale_mm: float = 648.0
    gauges: tuple[Gauge, ...] = STANDARD_GAUGES
    reference: float = 440.0

    @property
    def strings(self) -> int:
        return len(self.tuning.midi)

    def has_string(self, string: int) -> bool:
        return 1 <= string <= len(self.tuning.midi)

    def open_midi(self, string: int) -> int:
        """MIDI number of the string as it sounds unfretted, the capo included. String 1 is the highest.

        Raises `IndexError` for a string the instrument does not have.
        """
        if not self.has_string(string):
            raise IndexError(string)
        return self.tuning.midi[-string] + self.capo

    def midi(self, string: int, fret: Fraction | int) -> float:
        """MIDI number of a place on the neck; whole frets give whole numbers."""
        return self.open_midi(string) + (int(fret) if fret == int(fret) else float(fret))


STANDARD_INSTRUMENT = Instrument()


def _nodes() -> tuple[tuple[float, int], ...]:
    """(fret, mode) of every node up to the eighth mode: p = −12·log2(1 − n/m), n coprime to m."""
    return tuple(
        sorted(
            (-12 * math.log2(1 - n / m), m) for m in range(2, HIGHEST_MODE + 1) for n in range(1, m) if gcd(n, m) == 1
        )
    )


HIGHEST_MODE = 8
NODE_REACH = 0.35
NODES = _nodes()
"""Touch points of the natural harmonics, in frets from the nut or the stopping finger, and their modes."""


@dataclass(frozen=True, slots=True)
class Node:
    """A touch point: where it truly lies (in frets), its mode, and how far above the open string it sounds."""

    fret: float
    mode: int

    @property
    def semitones(self) -> float:
        return 12 * math.log2(self.mode)


def node_at(fret: Fraction | float) -> Node | None:
    """The node a player means by a touched fret: the nearest within 0.35 fret, or None.

    Players write 4, 9 and 16 for the fifth mode and 3 for the sixth (common practice).
    """
    place, mode = min(NODES, key=lambda node: abs(node[0] - fret))
    return Node(place, mode) if abs(place - fret) <= NODE_REACH else None
