"""Triad pairs: two triads without a common tone, played in turn.

Found: in one line of even notes, groups of three, each the three tones of a triad (major, minor, diminished) in any
order, of two triads in turn that share no tone: three groups or more, or two over one chord whose roots are a step
apart. It begins with the first group that can be one.

`data`: `chords` (the two symbols), `times` (groups), `over` (symbols, None for no chord), `degrees` (of each triad over
the chord it begins under, ninths and higher by their names; empty without chord and key).

Example: C E G D F# A C E G D F# A over Cmaj7 is "triad pair C and D over Cmaj7: 1 3 5, 9 #11 13, four groups of three".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from typing import NamedTuple

from tabtools.study.devices.chord_names import NAMED_TRIADS
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Line, Music

KIND = "triad pair"
SIZE = 3
STEPS = frozenset((1, 2, 10, 11))


class Pair(NamedTuple):
    """Groups of three from a stroke on: the tones of the two triads as bits, and how many groups."""

    first: int
    one: int
    other: int
    groups: int

    @property
    def last(self) -> int:
        return self.first + SIZE * self.groups - 1


def find(music: Music) -> Iterator[Proposal]:
    """Each pair of triads, in order."""
    for line in music.lines:
        if len(line.pitches) < 2 * SIZE:
            continue
        masks = [_mask(line.pitches[at : at + SIZE]) for at in range(len(line.pitches) - SIZE + 1)]
        reached = 0
        for start in range(len(line.pitches) - 2 * SIZE + 1):
            pair = _pair(music, line, masks, start)
            if pair is not None and pair.last >= reached:
                reached = pair.last + 1
                yield _proposal(music, pair)


def _mask(pitches: tuple[int, ...]) -> int:
    """The tones as bits where they are a triad, otherwise 0."""
    mask = 0
    for pitch in pitches:
        mask |= 1 << pitch % 12
    return mask if len(NAMED_TRIADS.get(mask, ())) == 1 else 0


def _pair(music: Music, line: Line, masks: list[int], start: int) -> Pair | None:
    one, other = masks[start], masks[start + SIZE]
    if not one or not other or one & other:
        return None
    groups = 2
    while start + SIZE * groups < len(masks) and masks[start + SIZE * groups] == (one, other)[groups % 2]:
        groups += 1
    strokes = music.melody.strokes[line.first + start : line.first + start + SIZE * groups]
    gaps = {after.onset - before.onset for before, after in pairwise(strokes)}
    if len(gaps) > 1 or any(struck.doubt for struck in strokes):
        return None
    root, _ = NAMED_TRIADS[one][0]
    beside, _ = NAMED_TRIADS[other][0]
    is_one_chord = len(music.backings(line.first + start, line.first + start + SIZE * groups - 1)) == 1
    if groups == 2 and not (is_one_chord and (root - beside) % 12 in STEPS and strokes[0].is_on_beat):
        return None
    return Pair(line.first + start, one, other, groups)


def _proposal(music: Music, pair: Pair) -> Proposal:
    tones = music.melody.backing(pair.first).tones
    strange = [
        any(tones[tone] == "chromatic" for tone in range(12) if mask >> tone & 1) for mask in (pair.one, pair.other)
    ]
    bits = costs.NAMING[KIND] + (costs.SUPERIMPOSED if all(strange) else costs.OTHER_IN_SCALE)
    bits += costs.NOTE[KIND] * SIZE * pair.groups
    return Proposal(KIND, pair.first, pair.last, bits, costs.NOTE[KIND], partial(_device, music, pair))


def _device(music: Music, pair: Pair) -> Device:
    backing = music.melody.backing(pair.first)
    found = [NAMED_TRIADS[mask][0] for mask in (pair.one, pair.other)]
    chords = [f"{backing.names[root]}{shape}" for root, shape in found]
    degrees = [
        [backing.extended[tone] for tone in _upwards(mask, root)] if backing.extended else []
        for mask, (root, _) in zip((pair.one, pair.other), found, strict=True)
    ]
    said = f"triad pair {' and '.join(chords)}"
    if any(degrees):
        said += f" over {backing.place}: {', '.join(' '.join(names) for names in degrees)}"
    said += f", {in_words(pair.groups)} groups of three"
    data = {
        "chords": chords,
        "times": pair.groups,
        "over": [found.symbol for found in music.backings(pair.first, pair.last)],
        "degrees": degrees if backing.degrees else [],
    }
    return music.device(KIND, pair.first, pair.last, said, data)


def _upwards(mask: int, root: int) -> list[int]:
    return sorted((tone for tone in range(12) if mask >> tone & 1), key=lambda tone: (tone - root) % 12)
