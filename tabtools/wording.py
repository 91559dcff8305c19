"""Numbers beside the words that they count, and in runs."""

from __future__ import annotations

from collections.abc import Iterable
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


def bars_in_all(bars: int, has_pickup: bool) -> str:
    """How long a solo is: `12 bars`, `12 bars and a pickup`; the pickup is none of the bars."""
    if not has_pickup:
        return several(bars, "bar")
    return f"{several(bars, 'bar')} and a pickup" if bars else "a pickup"


def number_runs(numbers: Iterable[int]) -> list[tuple[int, int]]:
    """The first and last of each run of numbers that rise by one, in their order: 3 4 5 9 are `(3, 5)` and `(9, 9)`."""
    found: list[tuple[int, int]] = []
    for number in numbers:
        if found and number == found[-1][1] + 1:
            found[-1] = found[-1][0], number
        else:
            found.append((number, number))
    return found
