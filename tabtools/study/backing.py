"""What a note is heard against: the chord of the moment and the tones that belong there.

The scale of the moment (common practice):

- In a key of seven tones it is the key's scale and the tones of the chord: over E7 in A minor the G# joins A B C
  D E F G. Under NC it is the key's scale alone.
- In a pentatonic or blues key, and without a key, it is the chord's own scale, and the key's tones where there are
  any: over A7 in A blues A mixolydian and the A blues scale.
- The chord's own scale is major over a major third, mixolydian where the seventh is minor, dorian over a minor
  third (melodic minor with a major seventh), locrian over m7b5, whole-half diminished over diminished chords,
  altered over `alt`; a tone the chord asks for takes the place of the scale's tone on its step (`A7b9` has b9,
  `Amaj7#11` #11). A power chord has no scale of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Literal

from tabtools.harmony.chords import tones_of
from tabtools.harmony.degrees import DegreeStyle, degree, degree_names, key_degree, tone_names
from tabtools.model.harmony import ChordSymbol, Degree, Key, scale_degrees
from tabtools.model.pitch import Tone
from tabtools.notation.chords import chord_or_none

ToneClass = Literal["chord tone", "extension", "scale note", "chromatic", ""]
"""What a pitch is over the chord, whatever the line does; empty where neither chord nor key says."""

COLOURS = frozenset(("9", "11", "#11", "13"))


@dataclass(frozen=True, eq=False)
class Backing:
    """Chord and key at one moment, each worked out for the twelve pitch classes (0 is C).

    `symbol` is the chord as written; `chord` is None under NC and where the symbol cannot be read. `core` is the
    chord up to its seventh and its bass, `scale` the scale of the moment, empty where nothing says which. `degrees` are
    over the chord in the plain style, over the key without one, empty without both; `extended` are the same in the
    extended style, `told` those of the two that sentences use; `names` are the tones as they are spelled here.
    """

    symbol: str | None
    chord: ChordSymbol | None
    key: Key | None
    root: int | None
    core: frozenset[int]
    scale: frozenset[int]
    tones: tuple[ToneClass, ...]
    degrees: tuple[str, ...]
    extended: tuple[str, ...]
    names: tuple[str, ...]
    style: DegreeStyle = "plain"

    @cached_property
    def told(self) -> tuple[str, ...]:
        return self.extended if self.style == "extended" else self.degrees

    @cached_property
    def has_seventh(self) -> bool:
        """Whether the chord has a seventh or a sixth, so that more tones can be stacked on it."""
        return self.chord is not None and any(found.number in (6, 7) for found in self.chord.degrees)

    @property
    def has_minor_or_major_seventh(self) -> bool:
        """Whether a seventh keeps a sixth from being a tone of the chord."""
        return self.chord is not None and any(found.number == 7 for found in self.chord.degrees)

    def is_available(self, pitch_class: int) -> bool:
        """Whether a scale note can colour the chord.

        Over a sixth or seventh chord the 9, 11, #11 and 13 can that stand a whole tone or more above the chord tone
        below them.
        """
        return pitch_class in self._available

    @cached_property
    def _available(self) -> frozenset[int]:
        if not self.has_seventh:
            return frozenset()
        colours = (one for one, said in enumerate(self.extended) if said in COLOURS)
        return frozenset(one for one in colours if (one - 1) % 12 not in self.core)

    def offers(self, pitch_class: int) -> bool:
        """Whether the chord's own scale, whatever the key, holds a tone that can colour the chord."""
        if self.chord is None or self.root is None or not self.is_available(pitch_class):
            return False
        return (pitch_class - self.root) % 12 in _own_scale(self.chord)

    def said(self, pitch_class: int, is_extension: bool = False, written: Tone | None = None) -> str:
        """`F, b3 of Dm7`; an extension `B, 13 of Dm7`; the bare name where neither chord nor key counts.

        `written` is how the pitch was written as it was heard, where it was.
        """
        if written is None:
            return self._said[is_extension][pitch_class]
        return self._named(str(written), self.degree_told(pitch_class, is_extension, written))

    @cached_property
    def _said(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """What is said of each pitch class, as a plain tone and as an extension."""
        plain, extension = (
            tuple(self._named(self.names[one], self.degree_told(one, is_extension)) for one in range(12))
            for is_extension in (False, True)
        )
        return plain, extension

    def _named(self, name: str, degree: str) -> str:
        return f"{name}, {degree} of {self.place}" if degree else name

    def degree_told(self, pitch_class: int, is_extension: bool = False, written: Tone | None = None) -> str:
        """The degree of a pitch class as sentences say it; empty where there is neither chord nor key."""
        return self.degree_in("extended" if is_extension else self.style, pitch_class, written)

    def degree_in(self, style: DegreeStyle, pitch_class: int, written: Tone | None = None) -> str:
        """The degree of a pitch class in a style; empty where there is neither chord nor key."""
        if not self.degrees:
            return ""
        if written is None or str(written) == self.names[pitch_class]:
            return (self.extended if style == "extended" else self.degrees)[pitch_class]
        if self.chord is not None:
            return degree(pitch_class, self.chord, style, written)
        return key_degree(pitch_class, self.key, written) if self.key else ""

    @property
    def place(self) -> str:
        """`Dm7`, `the key` under NC."""
        return self.symbol if self.chord is not None and self.symbol else "the key"


@lru_cache(maxsize=4096)
def backing_of(symbol: str | None, key: Key | None, style: DegreeStyle = "plain") -> Backing:
    """The backing under a chord symbol as it is written, None for no chord, in a key; `style` is that of sentences."""
    chord = chord_or_none(symbol)
    core: frozenset[int] = frozenset()
    named: frozenset[int] = frozenset()
    scale = frozenset((key.tonic.pitch_class + step) % 12 for step in key.semitones) if key else frozenset()
    names = tuple(map(str, tone_names(chord, key)))
    if chord is None:
        tones = tuple(_tone(one, core, named, scale) for one in range(12))
        degrees = tuple(key_degree(one, key) for one in range(12)) if key else ()
        return Backing(symbol, None, key, None, core, scale, tones, degrees, degrees, names, style)
    sounding = tones_of(chord)
    core, named, root = sounding.core | {sounding.bass}, sounding.extensions, chord.root.pitch_class
    if len(scale) < 7:
        scale |= frozenset((root + step) % 12 for step in _own_scale(chord))
    if scale:
        scale |= sounding.pitch_classes
    degrees, extended = (
        tuple(names_over[(one - root) % 12] for one in range(12)) for names_over in _both_styles(chord)
    )
    tones = tuple(_tone(one, core, named, scale) for one in range(12))
    return Backing(symbol, chord, key, root, core, scale, tones, degrees, extended, names, style)


def _both_styles(chord: ChordSymbol) -> tuple[tuple[str, ...], ...]:
    return degree_names(chord, "plain"), degree_names(chord, "extended")


def _tone(pitch_class: int, core: frozenset[int], named: frozenset[int], scale: frozenset[int]) -> ToneClass:
    if pitch_class in core:
        return "chord tone"
    if pitch_class in named:
        return "extension"
    if not scale:
        return ""
    return "scale note" if pitch_class in scale else "chromatic"


def _own_scale(chord: ChordSymbol) -> frozenset[int]:
    """The chord's own scale in semitones above its root; empty for a power chord."""
    if chord.available:
        return frozenset(found.pitch_class for found in scale_degrees("altered"))
    has = set(chord.degrees)
    if Degree(3, -1) in has:
        if Degree(5, -1) in has:
            if Degree(7, -1) not in has:
                return frozenset(found.pitch_class for found in (*scale_degrees("whole-half diminished"), *has))
            name = "locrian"
        else:
            name = "melodic minor" if Degree(7) in has else "dorian"
    elif not has - {Degree(1), Degree(5)}:
        return frozenset()
    else:
        name = "mixolydian" if Degree(7, -1) in has else "major"
    asked = {(found.number - 1) % 7 for found in has}
    kept = [found for found in scale_degrees(name) if (found.number - 1) % 7 not in asked]
    return frozenset(found.pitch_class for found in (*kept, *has))
