"""Swept chords: one pick stroke through a chord, string by string, chord after chord.

Found: figures that come again at once (`repeated_cell`) and are a triad or a seventh chord, each begun by three notes
or more that are picked in one direction and rise under down strokes, or fall under up strokes; figures of one size
that follow one another are told together.

`data`: `chords` (their names), `over` (the symbols they stand over), `size` (notes of a figure), `times` (how often
each comes), `strings` (how many the pick goes through), `inversion` (number of the lowest tone in each chord; 0 where
they differ).

Example: Em, D, C and B triads, each with its fifth at the bottom and twice, are "swept triads Em, D, C and B, each
twice, over three strings, the fifth lowest".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial, reduce
from operator import or_
from typing import NamedTuple

from tabtools.study.devices.arpeggio_bits import chord_bits
from tabtools.study.devices.chord_names import NAMED, TRIADS, chord_name
from tabtools.study.devices.device import Device
from tabtools.study.devices.repeated_cell import figure_bits
from tabtools.study.devices.wording import BASS_WORDS, in_words, listed, often
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Music
from tabtools.study.periods import Repeat

KIND = "swept chords"
FEWEST = 3
WAYS = {"down": 1, "up": -1}
NUMBERS = (1, 2, 2, 3, 3, 4, 5, 5, 5, 6, 7, 7)
"""The number of the tone so many semitones above a root."""


class SweptChord(NamedTuple):
    """A figure that comes again, the chord it is, its lowest tone above the root, and through how many strings."""

    cell: Repeat
    tones: int
    root: int
    shape: str
    lowest: int
    strings: int


def find(music: Music) -> Iterator[Proposal]:
    """Each row of swept chords, in order."""
    row: list[SweptChord] = []
    for swept in filter(None, (_swept(music, cell) for cell in music.cells)):
        if row and (swept.cell.start != row[-1].cell.end + 1 or swept.cell.size != row[-1].cell.size):
            yield _proposal(music, row)
            row = []
        row.append(swept)
    if row:
        yield _proposal(music, row)


def _swept(music: Music, cell: Repeat) -> SweptChord | None:
    """A figure as a swept chord; None where it is none."""
    own = music.melody.strokes[cell.start : cell.start + cell.size]
    strings = _picked_one_way(music, cell)
    tones = reduce(or_, [1 << struck.top % 12 for struck in own])
    if strings < FEWEST or tones not in NAMED or any(len(struck.pitches) > 1 for struck in own):
        return None
    lowest = min(struck.top for struck in own)
    root, shape = chord_name(tones, lowest % 12, music.melody.backing(cell.start))
    return SweptChord(cell, tones, root, shape, (lowest - root) % 12, strings)


def _picked_one_way(music: Music, cell: Repeat) -> int:
    """How many notes the figure begins with that are picked in one direction, each on the far side of the last."""
    notes = music.melody.timeline.notes
    count, way, before = 0, 0, 0
    for struck in music.melody.strokes[cell.start : cell.start + cell.size]:
        note = notes[struck.notes[0]]
        here = next((WAYS[mark.word] for mark in note.marks if mark.word in WAYS), 0)
        if not here or note.via or (count and (here != way or (struck.top - before) * way <= 0)):
            break
        count, way, before = count + 1, here, struck.top
    return count


def _proposal(music: Music, row: Sequence[SweptChord]) -> Proposal:
    first, last = row[0].cell.start, row[-1].cell.end
    figure = frozenset(place for one in row for place in range(one.cell.start, one.cell.start + one.cell.size))
    bits = costs.NAMING[KIND] + sum(figure_bits(one.cell) for one in row)
    for one in row:
        bits += chord_bits(one.tones, one.root, one.shape, music.melody.backing(one.cell.start))
    return Proposal(KIND, first, last, bits, costs.FIRST_TIME, partial(_device, music, tuple(row)), figure)


def _device(music: Music, row: Sequence[SweptChord]) -> Device:
    first, last = row[0].cell.start, row[-1].cell.end
    chords = [music.melody.backing(one.cell.start).names[one.root] + one.shape for one in row]
    what = "triads" if all(one.shape in TRIADS for one in row) else "chords"
    is_one = len(row) == 1
    said = f"swept {what.removesuffix('s') if is_one else what} {listed(chords)}"
    times = [one.cell.times for one in row]
    if len(set(times)) == 1:
        said += f", {'' if is_one else 'each '}{often(times[0])}"
    said += f", over {in_words(max(one.strings for one in row))} strings"
    numbers = {NUMBERS[one.lowest] for one in row}
    inversion = numbers.pop() if len(numbers) == 1 else 0
    said += f", the {BASS_WORDS[inversion]} lowest" if inversion > 1 else ""
    data = {
        "chords": chords,
        "over": [backing.symbol for backing in music.backings(first, last)],
        "size": row[0].cell.size,
        "times": times,
        "strings": max(one.strings for one in row),
        "inversion": inversion,
    }
    return music.device(KIND, first, last, said, data)
