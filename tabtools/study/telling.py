"""How much of what can be said of a solo is told at once, and which of it; the rest is folded.

Told at once is what is worth `ENOUGH` bits (`tabtools.study.devices.worth`), the `FEWEST` best in any case, and no more
than one statement a bar, which few solos come to. What is said in the same words of several places is one statement.

Where a collection is known, a sort of device that few of its solos have comes forward: one of ten by three bits, in
whole bits and up to four, so that a solo more seldom moves anything. Sorts are finer than kinds: a run in dorian is
another one than a run in whole tones, an arpeggio of a minor seventh chord another one than a triad.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from math import log2
from types import MappingProxyType
from typing import NamedTuple

from tabtools.study.devices.device import Device

ENOUGH = 12.0
"""Bits from which on a statement is told at once."""
FEWEST = 3
"""Statements that are told at once of any solo, where it has so many that are worth anything."""
FEWEST_AT_MOST = 6
"""Statements that may be told at once of the shortest solo."""
MOST_BITS = 4
"""What a sort of device is worth at most because few solos have it."""
_ROOT = re.compile("^[A-G][#b]?")


class Statement(NamedTuple):
    """What is said in one way: the devices that say it, in order of their places, and what it is worth in bits."""

    devices: tuple[Device, ...]
    worth: float

    @property
    def first(self) -> Device:
        return self.devices[0]

    @property
    def rank(self) -> int:
        return min(device.rank for device in self.devices)


def statements(weighed: Iterable[tuple[Device, float]]) -> list[Statement]:
    """What devices with their worth say, each thing once, where it is said first; nothing that follows from another."""
    alike: dict[tuple[str, str], list[tuple[Device, float]]] = {}
    for device, worth in weighed:
        if device.implied:
            continue
        alike.setdefault((device.kind, device.sentence), []).append((device, worth))
    return [
        Statement(tuple([device for device, _ in same]), max([worth for _, worth in same])) for same in alike.values()
    ]


def most_told(bars: int) -> int:
    """How many statements are told at once at most of a solo of so many bars."""
    return max(FEWEST_AT_MOST, bars)


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


def told_first(
    statements: Iterable[tuple[str, float, int]], most: int, rarity: Mapping[str, int] = MappingProxyType({})
) -> set[int]:
    """The ranks of those of these statements that are told at once; each comes by its sort, worth in bits and rank."""
    ordered = sorted((-worth - rarity.get(sort, 0), rank) for sort, worth, rank in statements if worth)
    return {rank for place, (worth, rank) in enumerate(ordered[:most]) if place < FEWEST or -worth >= ENOUGH}


def told_at_once(said: Sequence[Statement], bars: int) -> set[int]:
    """The ranks of those of a solo's statements that are told at once, as far as the solo itself decides."""
    return told_first([(one.first.kind, one.worth, one.rank) for one in said], most_told(bars))
