"""What a note is called over a chord and in a key: its degree and its name.

Two styles of degrees. The plain style knows the steps within the octave: 1 b2 2 b3 3 4 #4 or b5, 5, #5 or b6,
6 b7 7. The extended style calls ninths, elevenths and thirteenths by their names where the chord makes them
extensions: over a chord with a seventh (over a sixth chord: the ninth and eleventh), or where the symbol asks for them.

The chord decides between two names of one pitch:

- A tone the symbol asks for or offers bears the symbol's name: b5 over Am7b5, #5 over A7#5, b13 over A7b13,
  bb7 over Adim7. The plain style folds it into the octave: #9 is b3, b13 is b6, bb7 is 6.
- Otherwise the tritone is the raised fourth (#4, #11) over a major third or a suspension, b5 over the rest.
- Otherwise eight semitones are b6 or b13, and three are b3, or #9 over a seventh chord with a major third.
- Where the pitch was written as it was heard, that decides between #4 and b5, #5 and b6: `3:11=F#4` is #4 over Cm7.

Names follow what was written as heard, then the chord, then the key (common practice):

- A chord tone is named by its letter above the root, a bass outside the chord as it is written, a tone of the key
  by the key, any other tone by its degree over the chord or, without a chord, over the tonic.
- A sharp ninth is named like the minor third it sounds (Bb over G7#9), as it is read off the neck; a diminished
  seventh that the key has is named by the key (F# over Adim7 in A).
- Double accidentals are never written: the flat third of Gbm is A.
- B#, E#, Cb and Fb are only written for tones that the chord asks for or the key has, never for a diminished
  seventh.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from tabtools.harmony.chords import tones_of
from tabtools.model.harmony import ChordSymbol, Degree, Key, scale_degrees, tone_above
from tabtools.model.pitch import (
    FLAT_NAMES,
    IN_TUNE_CENTS,
    LETTERS,
    NATURALS,
    SHARP_NAMES,
    Tone,
    nearest_semitone,
    parse_tone,
    pitch_name,
)

DegreeStyle = Literal["plain", "extended"]
STYLES: tuple[DegreeStyle, ...] = ("plain", "extended")

_STEPS = tuple(map(Degree, (1, 2, 2, 3, 3, 4, 5, 5, 6, 6, 7, 7), (0, -1, 0, -1, 0, 0, -1, 0, -1, 0, -1, 0)))
_TRITONE = 6
_RAISED_FOURTH = Degree(4, 1)
_SHARP_NINTH = Degree(9, 1)
_DIMINISHED_SEVENTH = Degree(7, -2)
_AS_WRITTEN = frozenset({_RAISED_FOURTH, Degree(5, -1), Degree(5, 1), Degree(6, -1)})
_FOLDED = {Degree(2, 1): Degree(3, -1), _DIMINISHED_SEVENTH: Degree(6)}
_WHITE_KEYS = {pitch_class: letter for letter, pitch_class in NATURALS.items()}


def degree(midi: float, chord: ChordSymbol, style: DegreeStyle = "plain", tone: Tone | None = None) -> str:
    """The degree of a pitch (a MIDI number) over a chord: `b3`, `#11`; `tone` is how it is written, where it is.

    Off the semitone by more than 5 cents it says so: `b3+50c`. Raises `ValueError` for an unknown style.
    """
    nearest = nearest_semitone(midi)
    above_root = (nearest - chord.root.pitch_class) % 12
    label = degree_names(chord, style)[above_root]
    if tone is not None and above_root not in tones_of(chord).degrees and (own := _as_written(tone, chord.root)):
        label = str(_extended(own, chord) if style == "extended" else own)
    return label if midi == nearest else label + _cents(midi, nearest)


def key_degree(midi: float, key: Key, tone: Tone | None = None) -> str:
    """The degree of a pitch above the tonic of a key, in the plain style; written and off the semitone as `degree`."""
    nearest = nearest_semitone(midi)
    above_tonic = (nearest - key.tonic.pitch_class) % 12
    found = _key_degrees(key)[above_tonic]
    if tone is not None and above_tonic not in key.semitones:
        found = _as_written(tone, key.tonic) or found
    return str(found) if midi == nearest else f"{found}{_cents(midi, nearest)}"


def spelled(midi: float, chord: ChordSymbol | None = None, key: Key | None = None, tone: Tone | None = None) -> str:
    """The name of a pitch with its octave, as it is written or else as chord and key spell it: `F#4`, `Eb3+50c`."""
    return pitch_name(midi, tone or tone_names(chord, key)[nearest_semitone(midi) % 12])


@lru_cache(maxsize=4096)
def degree_names(chord: ChordSymbol, style: DegreeStyle = "plain") -> tuple[str, ...]:
    """The degree of each semitone above the root, 0 to 11. Raises `ValueError` for an unknown style."""
    if style not in STYLES:
        raise ValueError(style)
    degrees = _chord_degrees(chord)
    return tuple(map(str, map(_plain, degrees) if style == "plain" else degrees))


@lru_cache(maxsize=4096)
def tone_names(chord: ChordSymbol | None, key: Key | None) -> tuple[Tone, ...]:
    """How each pitch class (0 is C) is spelled over a chord, in a key, or both; in sharps without either."""
    return tuple(_name(pitch_class, chord, key) for pitch_class in range(12))


def _name(pitch_class: int, chord: ChordSymbol | None, key: Key | None) -> Tone:
    """A chord tone by the chord, a tone of the key by the key, any other by its degree over chord or tonic."""
    asked = by_chord = by_key = None
    if chord is not None:
        above_root = (pitch_class - chord.root.pitch_class) % 12
        asked = tones_of(chord).degrees.get(above_root)
        by_chord = _over(chord, above_root)
        if asked not in (None, _DIMINISHED_SEVENTH):
            return _single(by_chord)
        if chord.bass is not None and chord.bass.pitch_class == pitch_class:
            return chord.bass
    if key is not None:
        above_tonic = (pitch_class - key.tonic.pitch_class) % 12
        by_key = tone_above(key.tonic, _key_degrees(key)[above_tonic])
        if above_tonic in key.semitones:
            return _single(by_key)
    return _plainest(by_chord or by_key or parse_tone(SHARP_NAMES[pitch_class]))


def _over(chord: ChordSymbol, above_root: int) -> Tone:
    found = _chord_degrees(chord)[above_root]
    return tone_above(chord.root, Degree(3, -1) if found == _SHARP_NINTH else found)


def _single(tone: Tone) -> Tone:
    """The tone, or its neighbour's name where it would need two accidentals."""
    if abs(tone.alteration) < 2:
        return tone
    return parse_tone((SHARP_NAMES if tone.alteration > 0 else FLAT_NAMES)[tone.pitch_class])


def _plainest(tone: Tone) -> Tone:
    """The tone, or the white key's own name where it has one."""
    if tone.pitch_class in _WHITE_KEYS:
        return Tone(_WHITE_KEYS[tone.pitch_class])
    return _single(tone)


@lru_cache(maxsize=4096)
def _chord_degrees(chord: ChordSymbol) -> tuple[Degree, ...]:
    """The degree of each semitone above the root, in the extended style."""
    asked = tones_of(chord).degrees
    numbers = {found.number for found in chord.degrees}
    degrees = []
    for semitones, step in enumerate(_STEPS):
        if semitones == _TRITONE and (Degree(3) in chord.degrees or numbers & {2, 4}):
            step = _RAISED_FOURTH
        step = _extended(step, chord)
        if step == Degree(3, -1) and chord.has_seventh and Degree(3) in chord.degrees:
            step = _SHARP_NINTH
        degrees.append(asked.get(semitones, step))
    return tuple(degrees)


def _extended(step: Degree, chord: ChordSymbol) -> Degree:
    """A step as ninth, eleventh or thirteenth where the chord makes it one."""
    extensions = {2, 4, 6} if chord.has_seventh else {2, 4} if Degree(6) in chord.degrees else set()
    return Degree(step.number + 7, step.alteration) if step.number in extensions else step


def _as_written(tone: Tone, root: Tone) -> Degree | None:
    """#4, b5, #5 or b6 where a tone is written as one of them above a root."""
    found = Degree((LETTERS.index(tone.letter) - LETTERS.index(root.letter)) % 7 + 1, 0)
    found = Degree(found.number, (tone.pitch_class - root.pitch_class - found.pitch_class + 6) % 12 - 6)
    return found if found in _AS_WRITTEN else None


@lru_cache(maxsize=512)
def _key_degrees(key: Key) -> tuple[Degree, ...]:
    """The degree of each semitone above the tonic: the scale's own, b5 outside it over a minor third, else #4."""
    own = {found.pitch_class: found for found in scale_degrees(key.mode)}
    steps = list(_STEPS)
    if Degree(3) in own.values():
        steps[_TRITONE] = _RAISED_FOURTH
    return tuple(own.get(semitones, step) for semitones, step in enumerate(steps))


def _plain(found: Degree) -> Degree:
    within = Degree(found.number - 7, found.alteration) if found.number > 7 else found
    return _FOLDED.get(within, within)


def _cents(midi: float, nearest: int) -> str:
    cents = round((midi - nearest) * 100)
    return f"{cents:+d}c" if abs(cents) > IN_TUNE_CENTS else ""
