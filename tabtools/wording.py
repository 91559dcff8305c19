"""Numbers beside the words that they count."""

from __future__ import annotations

from fractions import Fraction


def several(number: float | Fraction, noun: str) -> str:
    """`1 bar`, `0 bars`, `0.5 semitones`: a number with the noun that goes with it."""
    shown = f"{number}" if isinstance(number, int) else f"{round(float(number), 2):g}"
    return f"{shown} {plural(noun, number)}"


def plural(noun: str, number: float | Fraction) -> str:
    """The noun as it stands beside a number: `bar`, `bars`, `pitches`."""
    if number == 1:
        return noun
    return f"{noun}es" if noun.endswith("ch") else f"{noun}s"
