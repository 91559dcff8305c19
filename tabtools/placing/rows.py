"""Rows of like double stops, rows of like chords: what keeps its strings, or its grip, from one to the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tabtools.placing.strokes import Option

DOUBLE, OCTAVE = 2, 12
"""The notes of a double stop; semitones."""
STEP = 5
"""The next double stop of a row is not more semitones away."""
NUT_FRETS = 3
"""At the nut the open strings are of the row: they and what lies up to this fret are under one hand."""
KINDS = (1, 2, 2, 3, 3, 4, 4, 5, 6, 6, 7, 7)
"""How a musician counts the semitones within an octave."""


def leaves_a_row(before: Sequence[Option], after: Sequence[Option], open_midi: Mapping[int, int]) -> bool:
    """Whether a double stop or a chord is held another way than one of as many notes before it that is like it.

    Double stops in one kind of interval, major and minor alike, keep their pair of strings by steps, and no string of
    them is open; chords of the same intervals keep the distances between their strings.
    """
    one, other = sounding(before, open_midi), sounding(after, open_midi)
    if one is None or other is None or any(option.goals for option in before):
        return False
    if len(after) == DOUBLE:
        is_row = abs(other[0] - one[0]) <= STEP and _kind(one) == _kind(other)
        return is_row and _pair(before) != _pair(after) and not _is_at_the_nut(before, after)
    is_row = [pitch - one[0] for pitch in one] == [pitch - other[0] for pitch in other]
    return is_row and _grip(before, open_midi) != _grip(after, open_midi)


def sounding(options: Sequence[Option], open_midi: Mapping[int, int]) -> list[float] | None:
    """The pitches of these places from low to high; None where one is nowhere."""
    if any(one.fret is None or one.string not in open_midi for one in options):
        return None
    return sorted([open_midi[one.string] + float(one.fret or 0) for one in options])


def _kind(pitches: Sequence[float]) -> tuple[int, int]:
    """Second, third, fourth and so on, with the octaves beyond."""
    octaves, semitones = divmod(round(pitches[1] - pitches[0]), OCTAVE)
    return octaves, KINDS[semitones]


def _pair(options: Sequence[Option]) -> tuple[list[int], bool]:
    """The strings, and whether one of them is open."""
    return sorted([one.string for one in options]), not all(one.fret for one in options)


def _is_at_the_nut(*strokes: Sequence[Option]) -> bool:
    """Whether these lie on the same strings, open or in the first frets."""
    strings = [sorted([one.string for one in options]) for options in strokes]
    frets = [one.fret or 0 for options in strokes for one in options]
    return strings.count(strings[0]) == len(strings) and max(frets) <= NUT_FRETS


def _grip(options: Sequence[Option], open_midi: Mapping[int, int]) -> list[int]:
    """How far the string of each note is from that of the lowest."""
    strings = [one.string for one in sorted(options, key=lambda one: open_midi[one.string] + float(one.fret or 0))]
    return [strings[0] - string for string in strings]
