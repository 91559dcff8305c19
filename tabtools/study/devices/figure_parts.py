"""What some strokes within a phrase are to earlier ones: the same again, moved, turned upside down, twice as fast.

Found: five strokes or more from where a bar, a phrase or an explanation of the phrase begins, or behind a leap of a
fifth or more, outside slurs, that go by the same intervals as strokes from an earlier such place on, or by the same
steps of the key, or by these turned round; in the same rhythm, or all twice as fast or half as fast; four are enough
for that where they are a whole bar or phrase, here or there. They go up and down over three different pitches at least,
and are no figure of up to twelve strokes that comes again at once. Of the sixteen places before (six where it is turned
round) the one is taken with which saying it saves most: it costs what a returning figure costs
(`tabtools.study.explaining.costs`), and more where it moves by steps of the key, or is turned round.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from tabtools.study.devices.units import FEWEST_MOVED, OCTAVES, place_in, turns
from tabtools.study.explaining import costs
from tabtools.study.explaining.borders import SLURS
from tabtools.study.explaining.explained import Explained
from tabtools.study.music import MOST_IN_CELL, Music

LEAP = 7
LOOKED_BACK, NEAR = 16, 6
MOST = 32
FEWEST_AT_SPEED, FEWEST_PITCHES = 4, 3
APART = 1000
"""From here on every move is like no other: what sounds between, or when, is not known."""


class PartAgain(NamedTuple):
    """`length` strokes from `first` on that are what `how` says to those from `source` on.

    `by` is what they are moved by, in semitones, or steps of the key where `in_key`; `speed` is 1 at double speed, -1
    at half the speed.
    """

    first: int
    source: int
    length: int
    how: str
    by: int
    in_key: bool
    speed: int


class _Tracks(NamedTuple):
    """A melody's places in the scale of the key, its moves in semitones and in steps of the key, and when they come."""

    places: Sequence[int | None]
    moves: Sequence[int]
    steps: Sequence[int]
    gaps: Sequence[int]


def parts_again(
    music: Music, chosen: Explained, units: Collection[tuple[int, int]], taken: Sequence[bool]
) -> Iterator[PartAgain]:
    """Each part worth telling, in order; `units` are bars and phrases, `taken` the strokes of which it is told."""
    tracks = _tracks(music)
    starts = _starts(music, chosen, units, tracks)
    alike = _Beginnings(tracks)
    free = 0
    for number, first in enumerate(starts):
        if first >= free and not taken[first]:
            far, near = starts[max(0, number - LOOKED_BACK)], starts[max(0, number - NEAR)]
            begun = alike.to(first, far, near)
            if begun and turns(tracks.moves[first : first + MOST]):
                found = [_part(music, tracks, *one, first) for one in begun]
                worth = [(_saved(music, chosen, units, part), part) for part in found if _is_heard(tracks, units, part)]
                saved, best = max(worth, key=lambda one: one[0], default=(0.0, None))
                if best is not None and saved >= costs.WORTH_TELLING and not any(taken[first : first + best.length]):
                    free = first + best.length
                    yield best
        alike.add(first)


_Three = tuple[int, int, int]


class _Beginnings:
    """The places that begin with the same three moves, in semitones or in steps of the key."""

    def __init__(self, tracks: _Tracks):
        self.moves = [_MovesInTrack(in_key, track) for in_key, track in ((False, tracks.moves), (True, tracks.steps))]
        self.last = len(tracks.moves) - 3

    def add(self, place: int) -> None:
        if place <= self.last:
            for moves in self.moves:
                moves.known.setdefault(moves.threes[place], []).append(place)

    def to(self, first: int, far: int, near: int) -> list[tuple[int, int, bool]]:
        """Each place from `far` on that goes on alike, or from `near` on, turned round (-1), by steps or not, once."""
        if first > self.last:
            return []
        found: dict[int, tuple[int, int, bool]] = {}
        for moves in self.moves:
            known = moves.known
            for way, since, places in (
                (1, far, known.get(moves.threes[first])),
                (-1, near, known.get(moves.turned[first])),
            ):
                for source in reversed(places or ()):
                    if source < since:
                        break
                    found.setdefault(source, (source, way, moves.in_key))
        return list(found.values())


class _MovesInTrack:
    """The moves of a line, each with the two behind it, and the same turned round; and where some begin."""

    def __init__(self, in_key: bool, track: Sequence[int]):
        self.in_key = in_key
        self.threes = _threes(track)
        self.turned = _threes([-move for move in track])
        self.known: dict[_Three, list[int]] = {}


def _threes(track: Sequence[int]) -> list[_Three]:
    """Each move with the two behind it."""
    return list(zip(track, track[1:], track[2:], strict=False))


def _starts(music: Music, chosen: Explained, units: Collection[tuple[int, int]], tracks: _Tracks) -> Sequence[int]:
    """Where something begins: no place within a slur."""
    strokes, notes = music.melody.strokes, music.melody.timeline.notes
    leapt = {place + 1 for place, move in enumerate(tracks.moves) if LEAP <= abs(move) < APART}
    starts = {first for first, _ in units} | chosen.begins | leapt
    return sorted(start for start in starts if notes[strokes[start].notes[0]].via not in SLURS)


def _tracks(music: Music) -> _Tracks:
    strokes = music.melody.strokes
    key = music.melody.timeline.solo.header.key
    in_scale = {top: place_in(key, top) for top in {struck.top for struck in strokes}} if key else {}
    places = [in_scale.get(struck.top) for struck in strokes]
    moves, steps = [], []
    for at, (before, after) in enumerate(pairwise(strokes)):
        here, there = places[at], places[at + 1]
        is_known = not (after.is_apart or before.doubt or after.doubt)
        moves.append(after.top - before.top if is_known else APART + at)
        steps.append(there - here if is_known and here is not None and there is not None else APART + at)
    return _Tracks(places, moves, steps, [after.onset - before.onset for before, after in pairwise(strokes)])


def _part(music: Music, tracks: _Tracks, source: int, way: int, in_key: bool, first: int) -> PartAgain:
    """What the strokes from a place on are to those from an earlier one on, as far as that goes."""
    strokes, places = music.melody.strokes, tracks.places
    by = strokes[first].top - strokes[source].top
    length, speed = _agree(tracks, tracks.steps if in_key else tracks.moves, way, source, first)
    how = "upside down" if way < 0 else "octave" if abs(by) in OCTAVES else "moved" if by else "again"
    far = 0 if way < 0 else (places[first] or 0) - (places[source] or 0) if in_key else by
    return PartAgain(first, source, length, how, far, in_key, speed)


def _agree(tracks: _Tracks, track: Sequence[int], way: int, source: int, first: int) -> tuple[int, int]:
    """How many strokes agree, and whether the later ones come twice as fast (1) or half as fast (-1)."""
    most = min(first - source, len(track) + 1 - first, MOST)
    here, there = tracks.gaps[first], tracks.gaps[source]
    speed = 1 if 2 * here == there else -1 if here == 2 * there else 0
    count = 1
    while count < most and track[first + count - 1] == way * track[source + count - 1]:
        here, there = tracks.gaps[first + count - 1], tracks.gaps[source + count - 1]
        if (here, 2 * here, here)[speed] != (there, there, 2 * there)[speed]:
            break
        count += 1
    return count, speed


def _is_heard(tracks: _Tracks, units: Collection[tuple[int, int]], part: PartAgain) -> bool:
    """Whether there are notes enough, and they go up and down."""
    is_whole = _is_whole(units, part)
    fewest = FEWEST_AT_SPEED if part.speed and is_whole else FEWEST_MOVED
    moves = tracks.moves[part.first : part.first + part.length - 1]
    apart = part.first - part.source
    if part.how == "again" and not part.speed and apart <= min(MOST_IN_CELL, part.length + 1):
        return False
    return part.length >= fewest and turns(moves) and len(set(accumulate(moves, initial=0))) >= FEWEST_PITCHES


def _is_whole(units: Collection[tuple[int, int]], part: PartAgain) -> bool:
    """Whether it is a whole bar or phrase, here or there."""
    return any((first, first + part.length - 1) in units for first in (part.first, part.source))


def _saved(music: Music, chosen: Explained, units: Collection[tuple[int, int]], part: PartAgain) -> float:
    """The bits that it saves of what its strokes cost."""
    bits = costs.RETURN
    if part.how == "upside down":
        bits += costs.TURNED_ROUND
    elif part.by:
        bits += costs.AN_OCTAVE if part.how == "octave" else costs.ANOTHER_PITCH
    if part.in_key:
        bits += costs.BY_STEPS
    saved = sum(chosen.bits[part.first : part.first + part.length]) - bits
    if not part.speed:
        saved += costs.SAME_RHYTHM * _changes(music, part)
    return saved + costs.WHOLE_PHRASE * _is_whole(units, part)


def _changes(music: Music, part: PartAgain) -> int:
    """How often the rhythm changes."""
    own = music.melody.strokes[part.first : part.first + part.length]
    gaps = [after.onset - before.onset for before, after in pairwise(own)]
    return sum(gap != after for gap, after in pairwise(gaps))
