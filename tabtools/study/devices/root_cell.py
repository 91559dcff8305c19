"""Cells of root, second, third and fifth: 1-2-3-5, up or down, as they are practised over every chord of a tune.

Found: in one line, four even notes that are as long as whole counts, begin or end on one, and are 1 2 3 5 or 5 3 2 1 of
a major or a minor chord within an octave: of the chord that sounds, or, going up, of another.

`data`: `root` (its name), `minor`, `direction` (`rising`, `falling`), `over` (the symbol, None for no chord).

Example: D E F A over Dm7 is "1-2-3-5 on D, minor, over Dm7, rising".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Music

KIND = "root cell"
SIZE = 4
SHAPES = {(2, 2, 3): False, (2, 1, 4): True, (-3, -2, -2): False, (-4, -1, -2): True}
"""The moves from note to note, and whether the chord is minor."""


def find(music: Music) -> Iterator[Proposal]:
    """Each such cell, in order."""
    for line in music.lines:
        moves = [after - before for before, after in pairwise(line.pitches)]
        for start, shape in enumerate(zip(moves, moves[1:], moves[2:], strict=False)):
            first = line.first + start
            if shape in SHAPES and _fills_counts(music, first):
                pitches = line.pitches[start : start + SIZE]
                is_rising = shape[0] > 0
                backing = music.melody.backing(first)
                is_own = backing.root is None or min(pitches) % 12 == backing.root
                if not is_rising and not is_own:
                    continue
                tones = {backing.tones[pitch % 12] for pitch in pitches}
                which = costs.SOUNDING_CHORD if is_own else costs.OTHER_IN_SCALE
                bits = costs.NAMING[KIND] + (costs.SUPERIMPOSED if "chromatic" in tones else which)
                bits += costs.NOTE[KIND] * SIZE
                tell = partial(_device, music, first, min(pitches), SHAPES[shape], is_rising)
                yield Proposal(KIND, first, first + SIZE - 1, bits, costs.NOTE[KIND], tell)


def _fills_counts(music: Music, first: int) -> bool:
    """Whether the notes are even, under one chord, as long as counts are, and begin on one or end on one."""
    strokes = music.melody.strokes[first : first + SIZE]
    gaps = {after.onset - before.onset for before, after in pairwise(strokes)}
    if (
        len(gaps) > 1
        or any(struck.doubt for struck in strokes)
        or not (strokes[0].is_on_beat or strokes[-1].is_on_beat)
    ):
        return False
    return SIZE * min(gaps) % strokes[0].beat == 0 and len(music.backings(first, first + SIZE - 1)) == 1


def _device(music: Music, first: int, root: int, is_minor: bool, is_rising: bool) -> Device:
    backing = music.melody.backing(first)
    name = backing.names[root % 12]
    direction = "rising" if is_rising else "falling"
    said = f"{'1-2-3-5' if is_rising else '5-3-2-1'} on {name}{', minor' if is_minor else ''}"
    said += f", over {backing.symbol}" if backing.chord is not None else ""
    data = {"root": name, "minor": is_minor, "direction": direction, "over": backing.symbol}
    return music.device(KIND, first, first + SIZE - 1, f"{said}, {direction}", data)
