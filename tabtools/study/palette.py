"""The smallest scale that explains some notes, and the scales that explain them as well.

Scales of five and six tones are tried on every tonic; scales of seven and eight on the tonic of the key and on the
roots of the chords there. The scale with the fewest tones is taken; the chromatic scale explains nothing.

Among scales of as many tones the key's own comes first, then those on the tonic of the key, on the roots of the
chords, on the first chord's fifth, third and seventh, and on the other tones upwards from there; on one tonic the more
usual first (the order of `tabtools.harmony.scales.SCALES`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from tabtools.harmony.scales import scales_holding
from tabtools.model.harmony import Key
from tabtools.study.backing import Backing

SMALL, LARGEST = 6, 8

Named = tuple[int, str]
"""A pitch class and the name of a scale on it."""


def explain(pitches: Iterable[int], backings: Sequence[Backing]) -> tuple[Named, ...]:
    """The scales with the fewest tones that hold these pitches, the one to name first; empty where there is none."""
    first = backings[0]
    roots = tuple(dict.fromkeys(backing.root for backing in backings if backing.root is not None))
    return _explain(frozenset(pitch % 12 for pitch in pitches), first.key, roots, first.core)


def scale_name(named: Named, backing: Backing) -> str:
    """`D dorian`, spelled as the tonic is under this chord and in this key."""
    tonic, scale = named
    if backing.key is not None and tonic == backing.key.tonic.pitch_class:
        return f"{backing.key.tonic} {scale}"
    return f"{backing.names[tonic]} {scale}"


@lru_cache(maxsize=8192)
def _explain(
    pitch_classes: frozenset[int], key: Key | None, roots: tuple[int, ...], core: frozenset[int]
) -> tuple[Named, ...]:
    likely = dict.fromkeys((key.tonic.pitch_class, *roots) if key else roots)
    ties: list[Named] = []
    fewest = LARGEST
    for tonic in dict.fromkeys((*likely, *_upwards(roots, core, min(pitch_classes)))):
        for scale in scales_holding(pitch_classes, tonic):
            size = len(scale.semitones)
            if size > fewest or (size > SMALL and tonic not in likely):
                break
            if size < fewest:
                fewest, ties = size, []
            if key is not None and tonic == key.tonic.pitch_class and scale.semitones == key.semitones:
                ties.insert(0, (tonic, key.mode))
            else:
                ties.append((tonic, scale.name))
    return tuple(ties)


def _upwards(roots: tuple[int, ...], core: frozenset[int], lowest: int) -> list[int]:
    """Every pitch class: a chord's root, fifth, third and seventh, then the others from the root up."""
    if not roots:
        return [(lowest + step) % 12 for step in range(12)]
    steps = [step for step in (7, 6, 8, 3, 4, 9, 10, 11) if (roots[0] + step) % 12 in core]
    return [(roots[0] + step) % 12 for step in (*steps, *range(12))]
