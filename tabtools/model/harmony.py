"""Keys and chord symbols as they are written; what they sound is worked out in `tabtools.harmony`."""

from __future__ import annotations

from dataclasses import dataclass

from tabtools.model.pitch import Tone

MODES = {
    "major": (0, 2, 4, 5, 7, 9, 11),
    "minor": (0, 2, 3, 5, 7, 8, 10),
    "ionian": (0, 2, 4, 5, 7, 9, 11),
    "dorian": (0, 2, 3, 5, 7, 9, 10),
    "phrygian": (0, 1, 3, 5, 7, 8, 10),
    "lydian": (0, 2, 4, 6, 7, 9, 11),
    "mixolydian": (0, 2, 4, 5, 7, 9, 10),
    "aeolian": (0, 2, 3, 5, 7, 8, 10),
    "locrian": (0, 1, 3, 5, 6, 8, 10),
    "harmonic minor": (0, 2, 3, 5, 7, 8, 11),
    "melodic minor": (0, 2, 3, 5, 7, 9, 11),
    "phrygian dominant": (0, 1, 4, 5, 7, 8, 10),
    "lydian dominant": (0, 2, 4, 6, 7, 9, 10),
    "blues": (0, 3, 5, 6, 7, 10),
    "major pentatonic": (0, 2, 4, 7, 9),
    "minor pentatonic": (0, 3, 5, 7, 10),
}
"""Mode word → semitones above the tonic (common practice)."""


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
