"""Sizes on the page, in CSS pixels, and how wide a text is likely to be.

Heights count from the line of string 1 downwards: what stands above the staff is negative.
"""

from __future__ import annotations

import re
from functools import lru_cache
from html import escape

from tabtools.source import is_number

STRING_GAP = 13
FRET_SIZE = 13
ORNAMENT_SIZE = 10.5
NAME_SIZE = 10.5
DEGREE_SIZE = 11
NUMBER_SIZE = 9.5
CHORD_SIZE = 15
METER_SIZE = 24
WORD_SIZE = 11
FIGURE = 4.7
"""From the middle of a figure of `FRET_SIZE` down to its baseline."""

COLUMN_GAP = 3.5
QUARTER_ADVANCE = 36
STEM_TOP = 8
STEM_BOTTOM = 31
BEAM = 3.4
BEAM_STEP = 5.4
TUPLET_ROW = 11
COUNT_ROW = 12
DEGREE_ROW = 15
TONE_DROP = 2.2
CHORD_ROW = 21
WORD_ROW = 18
EDGE = 11

_NARROW = frozenset("ijl.,:;'|!()[]/ tfrI-")
_WIDE = frozenset("mwMW%@→")
_OCTAVE = re.compile(r"([A-G][♯♭]*)(-?[0-9]+)(.*)")
_HALF = frozenset("<>+=~^?*‹›♭♯")


@lru_cache(maxsize=4096)
def text_width(text: str, size: float, bold: bool = False) -> float:
    """An estimate that errs on the wide side, in pixels."""
    em = 0.0
    for character in text:
        if is_number(character):
            em += 0.58
        elif character in _NARROW:
            em += 0.36
        elif character in _HALF:
            em += 0.6
        elif character in _WIDE:
            em += 0.95
        elif character.isupper():
            em += 0.73
        else:
            em += 0.58 if character.isascii() else 0.9
    return em * size * (1.07 if bold else 1)


@lru_cache(maxsize=4096)
def with_accidentals(text: str) -> str:
    """`Bb7#9` as `B♭7♯9`, `D#dim7` as `D♯°7`: flats, sharps and diminished chords as they are printed."""
    signed = re.sub(r"(?<=[A-G/])b|b(?=b?[0-9])", "♭", text).replace("#", "♯")
    return re.sub(r"\b([A-G][♯♭]?)dim(?=7|\b)", r"\1°", signed)


@lru_cache(maxsize=4096)
def printed(text: str) -> str:
    """Text as it is drawn, safe within markup; the octave of a pitch is small and low: `A5` is no chord."""
    return _OCTAVE.sub(r'\1<tspan class="octave" dy="1.6">\2</tspan><tspan dy="-1.6">\3</tspan>', escape(text)).replace(
        '<tspan dy="-1.6"></tspan>', ""
    )


@lru_cache(maxsize=4096)
def shown(text: str) -> str:
    """Text of a contributed file, safe within markup."""
    return escape(text)


def number(value: float) -> str:
    """A length for an attribute: at most one decimal, no more signs than needed."""
    return f"{round(value, 1):g}"


def percent(part: float) -> str:
    """A share of the width as an attribute value."""
    return f"{part * 100:.2f}%"
