"""Pitches as they are spelled, and keys as they are signed."""

from __future__ import annotations

from typing import NamedTuple

from tabtools.harmony.degrees import tone_names
from tabtools.model.harmony import Key
from tabtools.model.pitch import Tone, nearest_semitone
from tabtools.notation.chords import chord_or_none

_FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
_MODES = {"lydian": 1, "ionian": 0, "major": 0, "mixolydian": -1, "dorian": -2, "aeolian": -3, "minor": -3}
_MODES |= {"phrygian": -4, "locrian": -5}
"""Sharps that a mode has more than the major key on its tonic."""
_SIGNED_LIKE = {
    "harmonic minor": "minor",
    "melodic minor": "minor",
    "phrygian dominant": "phrygian",
    "lydian dominant": "mixolydian",
    "blues": "minor",
    "major pentatonic": "major",
    "minor pentatonic": "minor",
}
"""Key words the standard has no mode for, and the mode whose signature they are written with (common practice)."""


class SpelledPitch(NamedTuple):
    """A tone in its octave, 4 beginning at middle C; `cents` is how far the pitch lies above it."""

    tone: Tone
    octave: int
    cents: float


def spelled(pitch: float, chord: str | None, key: Key | None, written: Tone | None = None) -> SpelledPitch:
    """A pitch (a MIDI number) as it was written as heard, or else as a chord and a key spell it: over C7 a G flat."""
    nearest = nearest_semitone(pitch)
    tone = written or tone_names(chord_or_none(chord), key)[nearest % 12]
    return SpelledPitch(tone, (nearest - tone.alteration) // 12 - 1, 100 * (pitch - nearest))


def signature(key: Key) -> tuple[int, str]:
    """Sharps (flats below zero) and mode of a key, as they are written."""
    mode = _SIGNED_LIKE.get(key.mode, key.mode)
    return _FIFTHS[key.tonic.letter] + 7 * key.tonic.alteration + _MODES[mode], mode
