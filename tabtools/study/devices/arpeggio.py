"""Triads and seventh-chord arpeggios.

Found: the longest stretches of a line whose tones are exactly those of a triad (major, minor, diminished, augmented)
or of a seventh chord (maj7, 7, m7, m(maj7), m7b5, dim7, maj7#5), each tone at least once, in any inversion and any
order. Tones may be repeated. The search goes from left to right and takes the longest stretch from each note; the
next may begin with the last note of the one before. Six notes or more within one triad are that triad, even if a
seventh chord would reach farther. Where the stretch reaches over a change of chord and the notes under one chord
(under several, the most notes, then the first) are the whole arpeggio by themselves, it is only those.

The name: a chord with a sixth where that is the sounding chord (C6, not Am7); an augmented triad or a diminished
seventh, which have no one root, after the sounding chord's root where it is one of their tones, otherwise after their
lowest note. The degrees are those of the figure's tones over the sounding chord, from the figure's root up, ninths and
higher by their names.

`data`: `chord`, `shape` (`triad` or `seventh`), `over` (symbols, None for no chord), `degrees` (a list for each of
them), `direction` (`rising`, `falling`, `mixed`), `inversion` (0 with the root at the bottom, 1 with the third …), and
`claim`.

Example: A C F over Dm7 is "F triad over Dm7: b3 5 b7, rising", with inversion 1.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache, reduce
from itertools import groupby, pairwise
from operator import or_

from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import over
from tabtools.study.music import Line, Music

KIND = "arpeggio"

TRIADS = {"": (0, 4, 7), "m": (0, 3, 7), "dim": (0, 3, 6), "aug": (0, 4, 8)}
SEVENTHS = {
    "maj7": (0, 4, 7, 11),
    "7": (0, 4, 7, 10),
    "m7": (0, 3, 7, 10),
    "m(maj7)": (0, 3, 7, 11),
    "m7b5": (0, 3, 6, 10),
    "dim7": (0, 3, 6, 9),
    "maj7#5": (0, 4, 8, 11),
}
ENOUGH_FOR_A_TRIAD = 6


def _mask(tones: tuple[int, ...], root: int) -> int:
    return sum(1 << (root + tone) % 12 for tone in tones)


def _tables(types: Mapping[str, tuple[int, ...]]) -> tuple[dict[int, list[tuple[int, str]]], frozenset[int]]:
    """Each set of tones (a bit for a pitch class) to its roots and types; and every part of such a set."""
    named: dict[int, list[tuple[int, str]]] = {}
    for root in range(12):
        for name, tones in types.items():
            named.setdefault(_mask(tones, root), []).append((root, name))
    parts = set()
    for mask in named:
        part = mask
        while part:
            parts.add(part)
            part = (part - 1) & mask
    return named, frozenset(parts)


NAMED_TRIADS, PARTS_OF_TRIADS = _tables(TRIADS)
NAMED_SEVENTHS, PARTS_OF_SEVENTHS = _tables(SEVENTHS)
NAMED = NAMED_TRIADS | NAMED_SEVENTHS


def find(music: Music) -> Iterator[Device]:
    """Each arpeggio, in order."""
    for line in music.lines:
        bits = [1 << pitch % 12 for pitch in line.pitches]
        start = 0
        while start < len(bits) - 2:
            end, mask = _longest(bits, start)
            if mask:
                first, length = _under_one_chord(music, line, bits, start, end - start, mask)
                yield _device(music, line, first, length, mask)
                start = first + length - 1
            else:
                start = _next_start(bits, start, end)


def _next_start(bits: list[int], start: int, end: int) -> int:
    """Where to look on when the notes up to `end` are parts of a chord only: behind the last of one of its tones."""
    last = {bit: place for place, bit in enumerate(bits[start:end], start)}
    return min(last.values()) + 1


def _under_one_chord(music: Music, line: Line, bits: list[int], start: int, length: int, mask: int) -> tuple[int, int]:
    """The part of a stretch that one chord holds, if it has every tone; otherwise the stretch."""
    chords = [music.melody.backing(line.first + place).symbol for place in range(start, start + length)]
    best = (0, 0)
    place = start
    for _, same in groupby(chords):
        count = len(list(same))
        if count > best[1] and _union(bits[place : place + count]) == mask:
            best = place, count
        place += count
    return best if best[1] else (start, length)


def _union(bits: list[int]) -> int:
    return reduce(or_, bits)


def _longest(bits: list[int], start: int) -> tuple[int, int]:
    """Where the arpeggio that begins here ends (exclusive) and its tones; 0 for the tones where none begins."""
    end, tones = _stretch(bits, start, NAMED_TRIADS, PARTS_OF_TRIADS)
    if tones and end - start >= ENOUGH_FOR_A_TRIAD:
        return end, tones
    farther, more = _stretch(bits, start, NAMED_SEVENTHS, PARTS_OF_SEVENTHS)
    return (end, tones) if tones and not more else (farther, more)


def _stretch(bits: list[int], start: int, named: Mapping[int, object], parts: frozenset[int]) -> tuple[int, int]:
    """How far (exclusive) the notes from here belong to one chord, and the chord's tones if they are all there."""
    mask = 0
    end = start
    while end < len(bits) and mask | bits[end] in parts:
        mask |= bits[end]
        end += 1
    return end, mask if mask in named else 0


def _device(music: Music, line: Line, start: int, length: int, mask: int) -> Device:
    pitches = line.pitches[start : start + length]
    first, last = line.first + start, line.first + start + length - 1
    backings = music.backings(first, last)
    lowest = min(pitches)
    root, shape = _name(mask, lowest, backings[0])
    symbol = backings[0].names[root] + shape
    is_triad = shape in TRIADS
    name = f"{symbol} {'triad' if is_triad else 'arpeggio'}"
    tones = sorted((tone for tone in range(12) if mask >> tone & 1), key=lambda tone: (tone - root) % 12)
    degrees = [[backing.extended[tone] for tone in tones] if backing.extended else [] for backing in backings]
    direction = _direction(pitches)
    said = f"{name}{over(backings, degrees)}" + (f", {direction}" if direction != "mixed" else "")
    data = {
        "chord": symbol,
        "shape": "triad" if is_triad else "seventh",
        "over": [backing.symbol for backing in backings],
        "degrees": degrees,
        "direction": direction,
        "inversion": tones.index(lowest % 12),
        "claim": name,
    }
    return music.device(KIND, first, last, said, data)


def _name(mask: int, lowest: int, backing: Backing) -> tuple[int, str]:
    """The root and what stands behind it."""
    has_sixth = backing.chord is not None and any(found.number == 6 for found in backing.chord.degrees)
    if has_sixth and backing.root is not None and mask == _mask(tuple(backing.core), 0):
        return backing.root, "m6" if (backing.root + 3) % 12 in backing.core else "6"
    return _rooted(mask, backing.root, lowest % 12)


@cache
def _rooted(mask: int, *wanted: int | None) -> tuple[int, str]:
    choices = dict(NAMED[mask])
    root = next((root for root in wanted if root in choices), None)
    if len(choices) == 1 or root is None:
        root = next(iter(choices))
    return root, choices[root]


def _direction(pitches: tuple[int, ...]) -> str:
    moves = [after - before for before, after in pairwise(pitches)]
    if all(move > 0 for move in moves):
        return "rising"
    return "falling" if all(move < 0 for move in moves) else "mixed"
