"""The smallest scale that explains some notes, and the scales that explain them as well.

Scales of five and six tones are tried on every tonic; scales of seven and eight on the tonic of the key and on the
roots of the chords there. The scale with the fewest tones is taken; the chromatic scale explains nothing.

Among scales of as many tones the key's own comes first, then those on the tonic of the key, on the roots of the
chords, on the first chord's fifth, third and seventh, and on the other tones upwards from its root (from the key's
tonic without a chord, from the first note without both); on one tonic the more usual first (the order of
`tabtools.harmony.scales.SCALES`). A symmetric scale is named on the first of its tonics alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from tabtools.harmony.scales import scales_holding
from tabtools.model.harmony import Key
from tabtools.study.backing import Backing

SMALL, LARGEST = 6, 8
WHOLE = "minor six pentatonic"
"""A scale that is only heard where all its tones sound: with fewer they are nearer to others."""

Named = tuple[int, str]
"""A pitch class and the name of a scale on it."""


def explain(pitches: Sequence[int], backings: Sequence[Backing]) -> tuple[Named, ...]:
    """The scales with the fewest tones that hold these pitches, the one to name first; empty where there is none."""
    first = backings[0]
    roots = tuple(dict.fromkeys(backing.root for backing in backings if backing.root is not None))
    start = None if roots or first.key is not None else pitches[0] % 12
    return _explain(frozenset([pitch % 12 for pitch in pitches]), first.key, roots, first.core, start)


def scale_name(named: Named, backing: Backing) -> str:
    """`D dorian`, spelled as the tonic is under this chord and in this key."""
    tonic, scale = named
    if backing.key is not None and tonic == backing.key.tonic.pitch_class:
        return f"{backing.key.tonic} {scale}"
    return f"{backing.names[tonic]} {scale}"


@lru_cache(maxsize=8192)
def _explain(
    pitch_classes: frozenset[int], key: Key | None, roots: tuple[int, ...], core: frozenset[int], start: int | None
) -> tuple[Named, ...]:
    likely = dict.fromkeys((key.tonic.pitch_class, *roots) if key else roots)
    first = start if start is not None else next(iter(roots or likely))
    ties: list[Named] = []
    sounds: set[tuple[str, frozenset[int]]] = set()
    fewest = LARGEST
    for tonic in dict.fromkeys((*likely, *_upwards(first, core))):
        for scale in scales_holding(pitch_classes, tonic):
            size = len(scale.semitones)
            if scale.name == WHOLE and len(pitch_classes) < size:
                continue
            if size > fewest or (size > SMALL and tonic not in likely):
                break
            if size < fewest:
                fewest, ties = size, []
            sound = (scale.name, scale.pitch_classes(tonic))
            if sound in sounds:
                continue
            sounds.add(sound)
            if key is not None and tonic == key.tonic.pitch_class and scale.semitones == key.semitones:
                ties.insert(0, (tonic, key.mode))
            else:
                ties.append((tonic, scale.name))
    return tuple(ties)


def _upwards(first: int, core: frozenset[int]) -> list[int]:
    """Every pitch class: fifth, third and seventh of the chord on the first, then all from the first up."""
    steps = [step for step in (7, 6, 8, 3, 4, 9, 10, 11) if (first + step) % 12 in core]
    return [(first + step) % 12 for step in (*steps, *range(12))]
