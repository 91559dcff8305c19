"""How much of what can be said of a solo is told at once, and which of it; the rest is folded.

Among the devices of one solo those come first that save most bits, and whose kind is rare there (their `rank`). Where a
collection is known, a sort of device that few of its solos have comes forward too: one of ten by three bits, in whole
bits and up to four, so that a solo more seldom moves anything. Sorts are finer than kinds: a run in dorian is another
one than a run in whole tones, an arpeggio of a minor seventh chord another one than a triad.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from math import log2

from tabtools.study.devices.device import Device

FEWEST = 6
"""Devices that are told of the shortest solo."""
MOST_BITS = 4
"""What a sort of device is worth at most because few solos have it."""
_ROOT = re.compile("^[A-G][#b]?")


def most_told(bars: int) -> int:
    """The last rank that is told of a solo of so many bars: one device in two bars."""
    return max(FEWEST, bars // 2)


def sort_of(device: Device) -> str:
    """The sort of a device: its kind with the type of its scale or chord, `scale run dorian`, `arpeggio m7`."""
    scale, chord = device.data.get("scale"), device.data.get("chord")
    if isinstance(scale, str):
        return f"{device.kind} {scale.partition(' ')[2]}"
    return f"{device.kind} {_ROOT.sub('', chord)}" if isinstance(chord, str) else device.kind


def rarities(solos: Iterable[Collection[str]]) -> dict[str, int]:
    """The bits that each sort of device is worth for being rare, by the sorts that each solo of a collection has."""
    own = [set(sorts) for sorts in solos]
    counts = Counter(sort for sorts in own for sort in sorts)
    return {sort: min(MOST_BITS, round(log2(len(own) / count))) for sort, count in counts.items()}


def told_first(devices: Iterable[tuple[str, float, int]], most: int, rarity: Mapping[str, int]) -> set[int]:
    """The ranks of those of these devices that are told at once; each comes by its sort, worth in bits and rank."""
    ordered = sorted((-worth - rarity.get(sort, 0), rank) for sort, worth, rank in devices)
    return {rank for _, rank in ordered[:most]}
