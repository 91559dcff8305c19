"""Strokes one after another, and what they are to earlier ones: see `tabtools.study.devices.variation`."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import accumulate, pairwise, takewhile

from tabtools.model.harmony import Key
from tabtools.study.backing import Backing
from tabtools.study.melody import Struck

OCTAVES = (12, 24)
FEWEST_MOVED = 5
"""Strokes of a figure that is known again at other pitches."""


class Unit:
    """Strokes one after another, `first` to `last`, as they are compared."""

    def __init__(self, first: int, strokes: Sequence[Struck], key: Key | None, backings: Sequence[Backing]):
        self.first, self.last = first, first + len(strokes) - 1
        self.tops = [struck.top for struck in strokes]
        self.gaps = [after.onset - before.onset for before, after in pairwise(strokes)]
        self.begins, self.beat = strokes[0].in_bar, strokes[0].beat
        self.key = key
        self.backings = backings

    @cached_property
    def moves(self) -> list[int]:
        return [after - before for before, after in pairwise(self.tops)]

    @cached_property
    def places(self) -> list[int] | None:
        """The pitches as steps of the key's scale, counted from a fixed one; None where a note lies outside it."""
        if self.key is None:
            return None
        found = [place_in(self.key, top) for top in self.tops]
        return None if None in found else [place for place in found if place is not None]

    @cached_property
    def steps(self) -> list[int] | None:
        """The moves in steps of the key's scale."""
        return None if self.places is None else [after - before for before, after in pairwise(self.places)]

    @cached_property
    def sounding(self) -> frozenset[tuple[int, int]]:
        """What sounds when: pitches, each with its time since the bar began."""
        times = accumulate(self.gaps, initial=self.begins)
        return frozenset(zip(times, self.tops, strict=True))

    @property
    def turns(self) -> bool:
        """Whether it goes up and down."""
        return turns(self.moves)


def place_in(key: Key, pitch: int) -> int | None:
    """A pitch as steps of a key's scale, counted from a fixed one; None outside it."""
    octave, above = divmod(pitch - key.tonic.pitch_class, 12)
    tones = key.semitones
    return octave * len(tones) + tones.index(above) if above in tones else None


def turns(moves: Sequence[int]) -> bool:
    """Whether moves go up and down."""
    return bool(moves) and max(moves) > 0 > min(moves)


Relation = tuple[str, int, int, bool]
"""How, strokes shared, moved by, whether by steps of the key."""


def relation(source: Unit, unit: Unit) -> Relation | None:
    count, other = len(unit.tops), len(source.tops)
    shared = _shared(source, unit)
    if shared == count == other and count > 3:
        return ("again" if unit.begins == source.begins else "shifted"), count, 0, False
    if unit.begins == source.begins and shared >= 3:
        if shared == count and other - count >= 2:
            return "cut short", count, 0, False
        if shared == other > 3:
            return "longer", other, 0, False
    if count == other > 3:
        found = _as_many(source, unit, count)
        if found is not None:
            return found
    if unit.begins == source.begins and shared >= 3 and 2 * shared >= max(count, other) and count > shared < other:
        return "another end", shared, 0, False
    moved = _moved(source, unit) if unit.begins == source.begins and not shared else 0
    if moved >= FEWEST_MOVED and 2 * moved >= max(count, other):
        return "another end", moved, unit.tops[0] - source.tops[0], False
    if 8 * min(count, other) <= 5 * max(count, other):
        return None
    same = len(unit.sounding & source.sounding)
    return ("varied", same, 0, False) if same > 3 and 8 * same > 5 * max(count, other) else None


def _shared(source: Unit, unit: Unit) -> int:
    """How many strokes both begin with, at the same pitches and in the same rhythm."""
    shared = 0
    if unit.tops[0] != source.tops[0]:
        return shared
    for place, (top, other) in enumerate(zip(unit.tops, source.tops, strict=False)):
        if top != other or (place and unit.gaps[place - 1] != source.gaps[place - 1]):
            break
        shared += 1
    return shared


def _moved(source: Unit, unit: Unit) -> int:
    """How many strokes both begin with by the same intervals and in the same rhythm, where these go up and down."""
    fewest = FEWEST_MOVED - 1
    if unit.moves[:fewest] != source.moves[:fewest]:
        return 0
    both = zip(unit.moves, unit.gaps, source.moves, source.gaps, strict=False)
    same = len(list(takewhile(lambda one: one[:2] == one[2:], both)))
    return same + 1 if turns(unit.moves[:same]) and unit.tops[0] != source.tops[0] else 0


def _as_many(source: Unit, unit: Unit, count: int) -> Relation | None:
    """What a unit is to one of as many strokes."""
    if unit.gaps != source.gaps:
        is_scaled = unit.tops == source.tops and (
            unit.gaps == [2 * gap for gap in source.gaps] or source.gaps == [2 * gap for gap in unit.gaps]
        )
        return ("speed", count, 0, False) if is_scaled else None
    by = unit.tops[0] - source.tops[0]
    if unit.moves == source.moves and abs(by) in OCTAVES:
        return "octave", count, by, False
    other = [place for place in range(count) if unit.tops[place] != source.tops[place]]
    is_at_once = unit.first == source.last + 1
    is_turned = is_at_once and count >= FEWEST_MOVED and all(abs(unit.tops[at] - source.tops[at]) == 1 for at in other)
    if other[-1] < count - 1 and len(other) <= (2 if count >= 8 or is_turned else 1):
        return "changed", count - len(other), 0, False
    if count < FEWEST_MOVED or not unit.turns:
        return None
    if unit.moves == source.moves:
        return "moved", count, by, False
    if unit.places is not None and source.places is not None and unit.steps == source.steps:
        return "moved", count, unit.places[0] - source.places[0], True
    if len(set(unit.tops)) > 3 and unit.tops == source.tops[::-1]:
        return "backwards", count, 0, False
    turned = [-move for move in source.moves]
    is_turned = unit.moves == turned or (source.steps is not None and unit.steps == [-step for step in source.steps])
    return ("upside down", count, 0, False) if is_turned else None
