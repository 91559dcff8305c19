"""Intervals that keep the spelling: a minor third up takes C to Eb, never to D#, and F#m7b5/C to Am7b5/Eb."""

from __future__ import annotations

import re
from typing import NamedTuple

from tabtools.model.harmony import Key, scale_degrees, tone_above
from tabtools.model.pitch import LETTERS, NATURALS, Tone, parse_tone, pitch_name
from tabtools.model.solo import Heard
from tabtools.notation.chords import read_chord

OCTAVE = 12
USUAL_LETTERS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Letters up for each number of semitones where there is no key to go by."""
_ROOT = re.compile(r"[A-G](?:[b♭](?![b♭])|[#♯](?![#♯]))?")


class Interval(NamedTuple):
    """So many semitones up (down where negative), and letters up within the octave."""

    semitones: int
    letters: int

    def tone(self, tone: Tone) -> Tone:
        """A tone so much higher, with one accidental at most."""
        letter = LETTERS[(LETTERS.index(tone.letter) + self.letters) % 7]
        pitch_class = (tone.pitch_class + self.semitones) % OCTAVE
        alteration = (pitch_class - NATURALS[letter] + 6) % OCTAVE - 6
        if abs(alteration) <= 1:
            return Tone(letter, alteration)
        return parse_tone(pitch_name(60 + pitch_class, flats=alteration < 0)[:-1])

    def heard(self, heard: Heard) -> Heard:
        """A pitch so much higher under its new name."""
        midi = heard.midi + self.semitones
        tone = self.tone(parse_tone(re.sub("-?[0-9]", "", heard.name)))
        return Heard(midi, pitch_name(midi, tone))

    def chord(self, symbol: str) -> str:
        """A chord symbol so much higher, NC as it is. Raises `ChordError` for one that cannot be read."""
        before = read_chord(symbol)
        if before is None:
            return symbol
        moved = _ROOT.sub(lambda root: str(self.tone(_tone(root[0]))), symbol, count=1)
        head, slash, bass = moved.rpartition("/")
        if before.bass is not None and slash:
            moved = f"{head}/{self.tone(_tone(bass))}"
        return moved


def intervals_to(key: Key, target: Key) -> tuple[Interval, ...]:
    """From one tonic to the other, the shorter way first, up where both are as short; then the other way."""
    up = (target.tonic.pitch_class - key.tonic.pitch_class) % OCTAVE
    letters = (LETTERS.index(target.tonic.letter) - LETTERS.index(key.tonic.letter)) % 7
    ways = sorted((up, up - OCTAVE), key=abs)
    return tuple(Interval(semitones, letters) for semitones in (ways if up != OCTAVE // 2 else (up, up - OCTAVE)))


def interval_by(semitones: int, key: Key | None) -> Interval:
    """So many semitones, spelled so that the new key has as few accidentals as can be."""
    if key is None:
        return Interval(semitones, USUAL_LETTERS[semitones % OCTAVE])
    pitch_class = (key.tonic.pitch_class + semitones) % OCTAVE
    names = {pitch_name(60 + pitch_class, flats=flats)[:-1] for flats in (False, True)}
    best = min((Key(parse_tone(name), key.mode) for name in sorted(names)), key=_accidentals)
    return Interval(semitones, (LETTERS.index(best.tonic.letter) - LETTERS.index(key.tonic.letter)) % 7)


def _accidentals(key: Key) -> int:
    return sum(abs(tone_above(key.tonic, degree).alteration) for degree in scale_degrees(key.mode))


def _tone(text: str) -> Tone:
    return parse_tone(text.replace("♭", "b").replace("♯", "#"))
