"""Scales by the names of the trade, and the scales that a set of tones fits into.

The names and degrees stand in `tabtools.model.harmony.SCALE_DEGREES`: the modes of the major scale, of harmonic
and melodic minor, pentatonics and blues, the symmetric scales, and the bebop scales (common practice). Scales
with the same tones are one `Scale` with several names: ionian is major, aeolian is minor.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from tabtools.model.harmony import SCALE_DEGREES, Degree, scale_degrees, tone_above
from tabtools.model.pitch import Tone

_OTHER_NAMES = {
    "natural minor": "minor",
    "minor blues": "blues",
    "pentatonic": "major pentatonic",
    "lydian b7": "lydian dominant",
    "overtone": "lydian dominant",
    "super locrian": "altered",
    "altered dominant": "altered",
    "diminished whole tone": "altered",
    "locrian #2": "locrian natural 2",
    "locrian #6": "locrian natural 6",
    "lydian #9": "lydian #2",
    "ionian #5": "ionian augmented",
    "superlocrian bb7": "ultralocrian",
    "phrygian #6": "dorian b2",
    "dominant diminished": "half-whole diminished",
    "half-whole": "half-whole diminished",
    "whole-half": "whole-half diminished",
    "double harmonic major": "double harmonic",
    "bebop": "bebop dominant",
    "bebop dorian": "bebop minor",
}
"""Other names in use (common practice) → the name in `SCALE_DEGREES`."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale without its tonic: its name, other names for the same tones, and its degrees, rising.

    `semitones` are above the tonic, 0 to 11.
    """

    name: str
    other_names: tuple[str, ...]
    degrees: tuple[Degree, ...]
    semitones: tuple[int, ...]

    def pitch_classes(self, tonic: int) -> frozenset[int]:
        """The pitch classes of the scale on a tonic (0 is C)."""
        return frozenset((tonic + semitone) % 12 for semitone in self.semitones)

    def tones(self, tonic: Tone) -> tuple[Tone, ...]:
        """The scale on a tonic by its letters, double accidentals and all."""
        return tuple(tone_above(tonic, degree) for degree in self.degrees)

    def __str__(self) -> str:
        return self.name


def _all_scales() -> tuple[Scale, ...]:
    names: dict[tuple[int, ...], list[str]] = {}
    for name in SCALE_DEGREES:
        names.setdefault(tuple(degree.pitch_class for degree in scale_degrees(name)), []).append(name)
    scales = []
    for semitones, (name, *others) in names.items():
        others += [other for other, meant in _OTHER_NAMES.items() if meant == name]
        scales.append(Scale(name, tuple(others), scale_degrees(name), semitones))
    return tuple(scales)


SCALES = _all_scales()
"""Every scale once, from few tones to many; among equals the more usual first."""

_BY_NAME = {name: scale for scale in SCALES for name in (scale.name, *scale.other_names)}


_SHORT = {
    "pent": "pentatonic",
    "penta": "pentatonic",
    "pentatonics": "pentatonic",
    "min": "minor",
    "m": "minor",
    "maj": "major",
    "harm": "harmonic",
    "mel": "melodic",
    "mixo": "mixolydian",
    "phryg": "phrygian",
    "dim": "diminished",
    "dom": "dominant",
    "alt": "altered",
    "natural-minor": "minor",
}
_TURNED = {
    "minor harmonic": "harmonic minor",
    "minor melodic": "melodic minor",
    "pentatonic minor": "minor pentatonic",
    "pentatonic major": "major pentatonic",
    "blues minor": "blues",
    "minor blues": "blues",
    "blues major": "major blues",
    "jazz minor": "melodic minor",
    "melodic minor ascending": "melodic minor",
    "diminished": "whole-half diminished",
    "wholetone": "whole tone",
    "whole-tone": "whole tone",
}


def scale_named(name: str) -> Scale:
    """A scale by any of its names. Raises `KeyError`."""
    return _BY_NAME[name]


def scale_called(name: str) -> Scale:
    """A scale by any of its names as people write them: `Dorian`, `minor pent`, `harm. min`, `blues scale`. Raises
    `KeyError`."""
    text = name.lower().replace("/", "-").replace("half whole", "half-whole").replace("whole half", "whole-half")
    words = [_SHORT.get(word.rstrip("."), word) for word in text.split()]
    plain = " ".join(word for word in words if word not in ("scale", "mode", "the"))
    for one in (plain, _TURNED.get(plain, plain)):
        if one in _BY_NAME:
            return _BY_NAME[one]
    raise KeyError(name)


@lru_cache(maxsize=8192)
def scales_holding(pitch_classes: frozenset[int], tonic: int) -> tuple[Scale, ...]:
    """The scales on a tonic that hold every one of the pitch classes, from few tones to many."""
    above = {(pitch_class - tonic) % 12 for pitch_class in pitch_classes}
    return tuple(scale for scale in SCALES if above.issubset(scale.semitones))
