"""Words that several devices use."""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.study.backing import Backing

STRINGS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
"""The strings by their numbers; the thinnest is the first."""
BASS_WORDS = {1: "root", 2: "ninth", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh"}
"""What a tone of a chord is called in the bass, by its number."""
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def over(backings: Sequence[Backing], degrees: Sequence[Sequence[str]]) -> str:
    """` over Dm7: b3 5 b7`; several chords one after another; empty with nothing to tell.

    Without any chord or key names stand in the place of degrees: `: F A C`.
    """
    if not any(degrees):
        return ""
    if not any(backing.degrees for backing in backings):
        return f": {' '.join(name for names in degrees for name in names)}"
    parts = [
        f"{backing.place if backing.degrees else 'no chord'}: {' '.join(found)}"
        for backing, found in zip(backings, degrees, strict=True)
        if found
    ]
    return f" over {'; over '.join(parts)}"


def known(backings: Sequence[Backing], degrees: Sequence[Sequence[str]]) -> list[list[str]]:
    """The same lists as data: empty where neither chord nor key gives degrees."""
    return [list(found) if backing.degrees else [] for backing, found in zip(backings, degrees, strict=True)]


def in_words(number: int) -> str:
    """`seven`, `13`."""
    return NUMBERS[number] if 0 <= number < len(NUMBERS) else str(number)


def often(times: int) -> str:
    """`twice`, `three times`; `once`."""
    return "once" if times == 1 else "twice" if times == 2 else f"{in_words(times)} times"


def listed(words: Sequence[str], last: str = "and") -> str:
    """`Dm7, G7 and C`."""
    return f" {last} ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


INTERVALS = {
    1: "a semitone",
    2: "a whole tone",
    3: "a minor third",
    4: "a major third",
    5: "a fourth",
    6: "a tritone",
    7: "a fifth",
    8: "a minor sixth",
    9: "a major sixth",
    10: "a minor seventh",
    11: "a major seventh",
    12: "an octave",
    24: "two octaves",
}
"""Semitones in words."""

STEPS = ("", "a step", "a third", "a fourth", "a fifth", "a sixth", "a seventh", "an octave")


def steps_far(steps: int, scale_size: int) -> str:
    """How far so many steps of a scale lead: `a step`; `a third` in a scale of seven tones, else `two steps`."""
    if abs(steps) == 1 or (scale_size == 7 and abs(steps) < len(STEPS)):
        return STEPS[abs(steps)]
    return f"{in_words(abs(steps))} steps"
