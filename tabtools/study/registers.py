"""A bass that no mark tells: low notes struck with a melody high above them, bar after bar.

In a bar two voices are heard (common practice, made exact) where on its first count a low note (G below middle C or
lower) is struck together with others a fifth or more above it, and

- the same happens on another count, and once there is a minor seventh or more between low and high; or
- all its notes lie in two registers, a major sixth or more apart, the lower within an octave, three notes or more.

Where that goes on for three bars or more, and single notes stand between in half of these at least, their bass is the
lowest note of each such stroke on a count, and the lower register where there are two. Chords one after another, and
power chords, are no two voices.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from tabtools.study.melody import Melody, Struck

LOWEST = 55
"""The highest pitch of such a bass: the open third string."""
FIFTH, SIXTH, SEVENTH, OCTAVE = 7, 9, 10, 12
FEWEST_BARS, FEWEST_PINCHES, FEWEST_BELOW = 3, 2, 3


def bass_by_register(melody: Melody) -> frozenset[int]:
    """The notes of a bass that is told by where it lies; empty where there is none."""
    found: set[int] = set()
    row: list[list[Struck]] = []
    bars = [list(own) for _, own in groupby(melody.strokes, key=lambda struck: id(struck.bar))]
    for own in (*bars, []):
        if own and _has_two_voices(own):
            row.append(own)
            continue
        broken = sum(any(len(struck.notes) == 1 for struck in bar) for bar in row)
        if len(row) >= FEWEST_BARS and 2 * broken >= len(row):
            found.update(note for bar in row for note in _bass(bar))
        row = []
    return frozenset(found)


def _has_two_voices(own: Sequence[Struck]) -> bool:
    if own[0].in_bar or not _is_pinched(own[0]):
        return False
    pinched = [struck for struck in own if _is_pinched(struck)]
    is_wide = any(struck.top - struck.pitches[-1] >= SEVENTH for struck in pinched)
    return (len(pinched) >= FEWEST_PINCHES and is_wide) or len(_lower_register(own)) >= FEWEST_BELOW


def _is_pinched(struck: Struck) -> bool:
    """Whether a low note is struck on a count with others high above it."""
    pitches = struck.pitches
    if len(pitches) < 2 or pitches[-1] > LOWEST or pitches[-2] - pitches[-1] < FIFTH:
        return False
    is_power_chord = len(pitches) > 2 and {pitch - pitches[-1] for pitch in pitches} <= {0, FIFTH, OCTAVE}
    return struck.is_on_beat and not struck.has_unknown and not is_power_chord


def _bass(own: Sequence[Struck]) -> Iterator[int]:
    """The notes of the bass in a bar of two voices."""
    yield from _lower_register(own) or (struck.notes[-1] for struck in own if _is_pinched(struck))


def _lower_register(own: Sequence[Struck]) -> list[int]:
    """The notes of the lower of two registers, of each stroke one at most; empty where there are no two."""
    highest = min(struck.pitches[-1] for struck in own) + OCTAVE
    below = [struck for struck in own if struck.pitches[-1] <= highest]
    upper = [pitch for struck in own for pitch in struck.pitches[: -1 if struck.pitches[-1] <= highest else None]]
    is_apart = bool(upper) and min(upper) - max(struck.pitches[-1] for struck in below) >= SIXTH
    return [struck.notes[-1] for struck in below] if is_apart else []
