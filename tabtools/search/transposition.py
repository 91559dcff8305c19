"""How far a figure lies from another like it, and how one says so."""

from __future__ import annotations

from dataclasses import dataclass

from tabtools.search.columns import cell_number
from tabtools.search.match import Stretch
from tabtools.search.strokes import OCTAVE, Strokes


@dataclass(frozen=True, slots=True)
class Transposition:
    """How far a figure lies from another with the same intervals.

    `quarter_tones` from first pitch to first pitch, up is positive; `is_exact` where every interval is the same
    and none differs by octaves.
    """

    quarter_tones: int
    is_exact: bool


def transposition(strokes: Strokes, stretch: Stretch, other: Strokes, elsewhere: Stretch) -> Transposition | None:
    """From one stretch to another of as many strokes; None where no pitch sounds."""
    shift = elsewhere.first - stretch.first
    here = ((at, cell_number(strokes.pitches[at])) for at in range(stretch.first, stretch.last + 1))
    start, pitch = next(((at, pitch) for at, pitch in here if pitch is not None), (stretch.first, None))
    there = cell_number(other.pitches[start + shift])
    if pitch is None or there is None:
        return None
    steps = strokes.steps[stretch.first + 1 : stretch.last + 1]
    is_exact = steps == other.steps[elsewhere.first + 1 : elsewhere.last + 1]
    return Transposition(there - pitch, is_exact)


_WORDS = (
    "",
    "a semitone",
    "a tone",
    "a minor third",
    "a major third",
    "a fourth",
    "a tritone",
    "a fifth",
    "a minor sixth",
    "a major sixth",
    "a minor seventh",
    "a major seventh",
)
_OCTAVES = ("", "an octave", "two octaves", "three octaves", "four octaves", "five octaves")


def in_words(moved: Transposition) -> str:
    """`same pitches`, `a fourth higher`, `an octave and a tone lower`, `a tone higher, octaves changed`."""
    octaves, rest = divmod(abs(moved.quarter_tones), OCTAVE)
    parts = [_OCTAVES[octaves]] if octaves < len(_OCTAVES) else [f"{octaves} octaves"]
    parts.append(_WORDS[rest // 2])
    if rest % 2:
        parts.append("a quarter tone")
    distance = " and ".join(filter(None, parts))
    words = f"{distance} {'higher' if moved.quarter_tones > 0 else 'lower'}" if distance else "same pitches"
    if moved.is_exact:
        return words
    return f"{words}, octaves changed" if distance else "octaves changed"
