"""The name a musician gives the scale of a run (common practice, made exact).

The first of these that holds the notes, and that they show:

- a pentatonic scale of four tones or more, a blues or whole tone scale of five or more: on the tonic of the key, on the
  roots of the chords, on the first chord's fifth, third and seventh, on other tones (rare pentatonics on roots alone);
- over one chord, a scale on its root that has all tones of the chord: over Dm7 D dorian, over E7 E phrygian dominant;
- the key's own scale; in a minor key the harmonic and the melodic minor on its tonic;
- over several chords, the harmonic minor a dominant among them leads to (A harmonic minor over Bm7b5 and E7b9), then a
  scale on the root of one of them that has all its tones, if it is no mode of a major or minor key;
- the altered scale of a dominant, whatever its symbol says of its fifth.

Notes show a seven-tone scale when they are five different ones or more and the tones that decide it are among them
(`DECIDING`): dorian its 6 with b3, mixolydian b7 with 3, lydian #4 with 3. A scale without such tones has to sound
whole. Notes that show none are a run in the key (in E minor where that is E dorian and no C# sounds), or in the scale
of the moment, whose name is not told of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from tabtools.harmony.scales import scale_named
from tabtools.model.harmony import Key
from tabtools.study.backing import Backing
from tabtools.study.explaining import costs
from tabtools.study.palette import Named, explain, scale_name

FEWEST_OF_FIVE, FEWEST_OF_SIX, FEWEST_OF_SEVEN, FEWEST_OF_EIGHT = 4, 5, 5, 6

DECIDING: dict[str, tuple[tuple[int, ...], ...]] = {
    "blues": ((3, 6),),
    "major blues": ((3, 4),),
    "whole tone": ((6, 8),),
    "major": ((4, 5, 11),),
    "minor": ((3, 8),),
    "dorian": ((3, 9),),
    "mixolydian": ((4, 10),),
    "lydian": ((4, 6),),
    "phrygian": ((1, 3, 7),),
    "locrian": ((1, 3, 6),),
    "harmonic minor": ((8, 11), (3, 11)),
    "melodic minor": ((3, 9, 11),),
    "phrygian dominant": ((1, 4),),
    "lydian dominant": ((4, 6, 10),),
    "altered": ((1, 3, 4), (1, 4, 6), (1, 4, 8), (3, 4, 6), (3, 4, 8), (4, 6, 8)),
    "half-whole diminished": ((1, 9), (1, 3, 4, 7)),
    "whole-half diminished": ((3, 8, 9),),
}
"""By the names of scales the tones that have to sound, one group of them or another, in semitones above the tonic."""

ON_A_CHORD = (
    *("major", "minor", "dorian", "mixolydian", "lydian", "phrygian", "locrian", "harmonic minor", "melodic minor"),
    *("phrygian dominant", "lydian dominant", "altered", "half-whole diminished", "whole-half diminished"),
    *("harmonic major", "locrian natural 2", "mixolydian b6", "lydian augmented", "double harmonic"),
    *(
        "hungarian minor",
        "dorian #4",
        "locrian natural 6",
        "ionian augmented",
        "lydian #2",
        "dorian b2",
        "ultralocrian",
    ),
)
"""The scales that are tried on the root of a chord, in this order; bebop scales are looked for by themselves."""
ON_ANY_TONE = frozenset(("major pentatonic", "minor pentatonic", "blues", "major blues", "whole tone"))
"""Small scales that are heard on tones that are no roots."""
IN_MINOR = ("harmonic minor", "melodic minor")
ALTERED = "altered"
PLAINLY = {"dorian": "minor", "phrygian": "minor", "mixolydian": "major", "lydian": "major"}
"""Modes, and what a run is called without the tone that sets them apart."""


class NamedScale(NamedTuple):
    """A scale by its full name (empty for the scale of the moment, without a key), whether the notes show it, what
    naming it costs, and its pitch classes.
    """

    name: str
    is_shown: bool
    bits: float
    tones: frozenset[int]

    def skipped(self, pitches: Sequence[int]) -> int:
        """How often a run passes over a tone of the scale."""
        return sum(
            any(between % 12 in self.tones for between in range(min(pair) + 1, max(pair))) for pair in pairwise(pitches)
        )


def named_scale(pitches: Sequence[int], backings: Sequence[Backing]) -> NamedScale | None:
    """The scale of some notes heard against these chords; None where no scale has them all."""
    tones = frozenset([pitch % 12 for pitch in pitches])
    small = _small(tones, pitches, backings)
    if small is not None:
        return small
    first = backings[0]
    chords = tuple(backing for backing in backings if backing.root is not None)
    found = _shown(tones, first.key, tuple((backing.root or 0, backing.core) for backing in chords))
    if found is not None:
        named, bits = found
        return NamedScale(scale_name(named, first), True, bits, scale_named(named[1]).pitch_classes(named[0]))
    key = first.key
    if key is not None and tones <= _in_key(key):
        return NamedScale(_plainly(key, tones), False, costs.OWN_SCALE, _in_key(key))
    moment = frozenset.intersection(*(backing.scale for backing in backings))
    return NamedScale("", False, costs.OWN_SCALE, moment) if tones <= moment else None


def _plainly(key: Key, tones: frozenset[int]) -> str:
    """The key; without its mode, E minor for E dorian, where the tone does not sound that sets the mode apart."""
    plain = PLAINLY.get(key.mode)
    is_plain = plain is not None and tones <= scale_named(plain).pitch_classes(key.tonic.pitch_class)
    return f"{key.tonic} {plain}" if is_plain else str(key)


def _in_key(key: Key) -> frozenset[int]:
    return frozenset((key.tonic.pitch_class + step) % 12 for step in key.semitones)


def _small(tones: frozenset[int], pitches: Sequence[int], backings: Sequence[Backing]) -> NamedScale | None:
    """A scale of five or six tones, where the notes show it."""
    found = explain(pitches, backings)
    if not found:
        return None
    tonic, name = found[0]
    size = len(scale_named(name).semitones)
    if size > 6 or len(tones) < (FEWEST_OF_FIVE if size == 5 else FEWEST_OF_SIX):
        return None
    if size == 6 and not _decides(tones, found[0]):
        return None
    key = backings[0].key
    likely = {backing.root for backing in backings} | ({key.tonic.pitch_class} if key else set())
    own = tonic in likely or not any(root is not None for root in likely)
    if not own and scale_named(name).name not in ON_ANY_TONE:
        return None
    bits = costs.OWN_SCALE if own else costs.USUAL_SCALE
    return NamedScale(scale_name(found[0], backings[0]), True, bits, scale_named(name).pitch_classes(tonic))


def _decides(tones: frozenset[int], named: Named) -> bool:
    """Whether the tones that decide a scale are among these; without such tones, whether all are."""
    tonic, name = named
    scale = scale_named(name)
    if len(scale.semitones) > 7 and len(tones) < FEWEST_OF_EIGHT:
        return False
    groups = DECIDING.get(scale.name, (scale.semitones,))
    return any(all((tonic + step) % 12 in tones for step in group) for group in groups)


@lru_cache(maxsize=8192)
def _shown(
    tones: frozenset[int], key: Key | None, chords: tuple[tuple[int, frozenset[int]], ...]
) -> tuple[Named, float] | None:
    if len(tones) < FEWEST_OF_SEVEN:
        return None
    for named in _candidates(key, chords):
        tonic, name = named
        if tones <= scale_named(name).pitch_classes(tonic) and _decides(tones, named):
            return named, costs.OWN_SCALE if scale_named(name).name in DECIDING else costs.RARE_SCALE
    for root, core in chords:
        is_dominant = {(root + 4) % 12, (root + 10) % 12} <= core
        if is_dominant and tones <= scale_named(ALTERED).pitch_classes(root) and _decides(tones, (root, ALTERED)):
            return (root, ALTERED), costs.USUAL_SCALE
    return None


def _candidates(key: Key | None, chords: tuple[tuple[int, frozenset[int]], ...]) -> Iterator[Named]:
    """The scales of seven and eight tones in the order in which musicians think of them."""
    if len(chords) == 1:
        yield from _on(*chords[0])
    if key is not None:
        if len(key.semitones) == 7:
            yield key.tonic.pitch_class, key.mode
        if 3 in key.semitones:
            yield from ((key.tonic.pitch_class, name) for name in IN_MINOR)
    if len(chords) > 1:
        for root, core in chords:
            if {(root + 4) % 12, (root + 10) % 12} <= core:
                yield (root + 5) % 12, "harmonic minor"
        own = _in_key(key) if key is not None and key.mode in ("major", "minor") else frozenset()
        for root, core in chords:
            yield from (named for named in _on(root, core) if scale_named(named[1]).pitch_classes(root) != own)
    if not chords and key is None:
        yield from ((tonic, name) for name in ON_A_CHORD for tonic in range(12))


@lru_cache(maxsize=1024)
def _on(root: int, core: frozenset[int]) -> tuple[Named, ...]:
    """Those that have all tones of a chord; of a power chord its root."""
    has_third = not core.isdisjoint({(root + 3) % 12, (root + 4) % 12})
    needed = core if has_third else {root}
    return tuple((root, name) for name in ON_A_CHORD if needed <= scale_named(name).pitch_classes(root))
