"""Note values: their lengths in quarter notes, dots and names.

A written length is a multiple of the 1024th note, the smallest value MusicXML has a name for.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

SMALLEST = Fraction(1, 256)
LONGEST = Fraction(32)
TYPES = ("maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th")
NAMES = {LONGEST / 2**place: name for place, name in enumerate((*TYPES, "512th", "1024th"))}
"""The values MusicXML names, from the maxima on, by their length in quarter notes."""

EIGHTH = Fraction(1, 2)


@lru_cache(maxsize=1024)
def is_plain(length: Fraction) -> bool:
    """Whether values of the trade add up to a length without a tuplet."""
    return odd_part(length.denominator) == 1 and length.denominator <= SMALLEST.denominator


@lru_cache(maxsize=1024)
def longest_value(length: Fraction) -> Fraction:
    """The longest value, plain or with one dot, that fits into a multiple of `SMALLEST`."""
    value = LONGEST
    while value > length:
        value /= 2
    return value * 3 / 2 if value * 3 / 2 <= length and value > SMALLEST else value


@lru_cache(maxsize=1024)
def is_value(length: Fraction) -> bool:
    """Whether one value, plain or dotted, is so long."""
    return is_plain(length) and SMALLEST <= length <= LONGEST * 3 / 2 and longest_value(length) == length


def nearest_plain(length: Fraction) -> Fraction:
    """The value without a dot that comes nearest to any length, by its ratio."""
    value = LONGEST
    while value > SMALLEST and value * value > 2 * length * length:
        value /= 2
    return value


@lru_cache(maxsize=1024)
def undotted(value: Fraction) -> Fraction:
    """A value without its dot."""
    return value * 2 / 3 if is_dotted(value) else value


@lru_cache(maxsize=1024)
def name_of(value: Fraction) -> str:
    """What MusicXML calls a value, its dot left out."""
    return NAMES[undotted(value)]


@lru_cache(maxsize=1024)
def halvings_of(value: Fraction) -> int:
    """How often the whole note is halved for a value, its dot left out: 2 is a quarter, 3 an eighth."""
    halvings, length = 0, Fraction(4)
    while length > value:
        halvings, length = halvings + 1, length / 2
    while length * 2 <= value:
        halvings, length = halvings - 1, length * 2
    return halvings


def is_dotted(value: Fraction) -> bool:
    """Whether a value is written with a dot."""
    return odd_part(value.numerator) == 3


def odd_part(number: int) -> int:
    """A number without its factors of two."""
    return number // (number & -number)
