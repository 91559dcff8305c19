"""The words of claims, and what they stand for: degrees, intervals, bends, note values, numbers."""

from __future__ import annotations

import re
from fractions import Fraction

from tabtools.model.harmony import Degree, parse_degree
from tabtools.model.pitch import Tone

_PLAIN = str.maketrans({"♭": "b", "♯": "#"})
_NUMBERS = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
]
_ORDINALS = [
    "-",
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
    "sixteenth",
    "seventeenth",
    "eighteenth",
    "nineteenth",
    "twentieth",
]
_STEPS = {"root": 1, "tonic": 1}
_PERFECT = frozenset((1, 4, 5, 11))
_INTERVALS = {
    "second": (1, 2),
    "third": (3, 4),
    "fourth": (5,),
    "fifth": (7,),
    "sixth": (8, 9),
    "seventh": (10, 11),
    "octave": (12,),
    "two octaves": (24,),
    "tone": (2,),
    "whole tone": (2,),
    "whole step": (2,),
    "step": (1, 2),
    "semitone": (1,),
    "half step": (1,),
    "tritone": (6,),
}
_BENDS = {
    "half step": 1.0,
    "half tone": 1.0,
    "half a step": 1.0,
    "half a tone": 1.0,
    "semitone": 1.0,
    "whole step": 2.0,
    "whole tone": 2.0,
    "tone": 2.0,
    "quarter": 0.5,
    "quarter step": 0.5,
    "quarter tone": 0.5,
    "step and a half": 3.0,
    "minor third": 3.0,
    "two steps": 4.0,
    "two tones": 4.0,
    "major third": 4.0,
    "fourth": 5.0,
}
_TUPLETS = {"triplet": 3, "quintuplet": 5, "sextuplet": 6, "septuplet": 7, "nonuplet": 9}
_VALUES = {
    "thirty-second": Fraction(1, 8),
    "sixteenth": Fraction(1, 4),
    "semiquaver": Fraction(1, 4),
    "eighth": Fraction(1, 2),
    "quaver": Fraction(1, 2),
    "quarter": Fraction(1),
    "crotchet": Fraction(1),
    "half": Fraction(2),
    "minim": Fraction(2),
}


def plain(text: str) -> str:
    """`B♭` as `Bb`, one space between words."""
    return " ".join(text.translate(_PLAIN).split())


def number_in(text: str) -> int:
    """The number that stands in a phrase: `7`, `seven`, `7th` or `seventh`; -1 where there is none."""
    if found := re.search(r"[0-9]+", text):
        return int(found[0])
    for word in re.findall(r"[a-z]+", text):
        for names in (_NUMBERS, _ORDINALS):
            if word in names:
                return names.index(word)
    return -1


def degree_of(text: str) -> Degree | int:
    """`b3`, `flat third` as degrees; `third`, `root`, `3rd` as the step that the chord has. Raises `ValueError`."""
    text = plain(text)
    if re.fullmatch(r"(?:bb|b|##|#)?[0-9]+", text):
        return parse_degree(text)
    if text.startswith("leading"):
        return Degree(7)
    if text in _STEPS:
        return _STEPS[text]
    if ordinal := re.fullmatch(r"((?:bb|b|##|#)?)([0-9]+)(?:st|nd|rd|th)", text):
        return parse_degree(ordinal[1] + ordinal[2]) if ordinal[1] else _step(int(ordinal[2]))
    if sign := re.fullmatch(r"([b#])([a-z]+)", text):
        return parse_degree(sign[1] + str(_step(number_in(sign[2]))))
    kind, _, name = re.sub("-", " ", text).rpartition(" ")
    number = _STEPS.get(name) or _step(_ORDINALS.index(name))
    return Degree(number, _alteration(kind, number)) if kind else number


def _step(number: int) -> int:
    return parse_degree(str(number)).number


def _alteration(kind: str, number: int) -> int:
    """Of a `minor` third, a `diminished` fifth … against the major scale."""
    if kind == "diminished":
        return -1 if (number - 1) % 7 + 1 in _PERFECT else -2
    return {"flat": -1, "minor": -1, "sharp": 1, "augmented": 1}.get(kind, 0)


def interval_of(text: str) -> tuple[int, ...]:
    """Semitones of an interval by its name; a third is minor or major where that is not said."""
    words = plain(text).replace("half-step", "half step")
    if words in _INTERVALS:
        return _INTERVALS[words]
    kind, _, name = words.rpartition(" ")
    return (_INTERVALS[name][0 if kind == "minor" else -1],)


def bend_of(text: str) -> float:
    """Semitones of `a whole step`, `half-step bend`, `quarter`."""
    words = re.sub(r"[ -]?bends?$", "", plain(text)).replace("-", " ")
    return _BENDS[words]


def rhythm_of(text: str) -> tuple[int, Fraction]:
    """The number of a tuplet and the value of a note in quarter notes, 0 for what is not said."""
    word = re.sub(r"s?(?: notes?)?$", "", plain(text))
    return _TUPLETS.get(word, 0), _VALUES.get(word, Fraction(0))


def tone_of(text: str) -> Tone:
    """`F#`, `B♭` as a tone."""
    text = text.translate(_PLAIN)
    return Tone(text[0], text.count("#") - text[1:].count("b"))
