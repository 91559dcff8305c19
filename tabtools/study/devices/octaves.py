"""A melody in octaves: one voice, doubled.

Found: in one phrase, three strokes or more one after another of exactly two notes an octave apart.

`data`: `count`, `degrees` (of each, over the chord, in either style; empty without chord and key), `over` (symbols).

Example: D D, F F and G G over Dm7, each with its octave, are "melody in octaves over Dm7: 1 b3 4".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import groupby

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import known, over
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.melody import Struck
from tabtools.study.music import Music

KIND = "octaves"
FEWEST = 3
OCTAVE = 12


def find(music: Music) -> Iterator[Proposal]:
    """Each melody in octaves, in order."""
    strokes = music.melody.strokes
    for stretch in music.stretches:
        places = range(stretch.first, stretch.last + 1)
        for is_octave, same in groupby(places, key=lambda place: _is_octave(strokes[place])):
            own = list(same)
            if is_octave and len(own) >= FEWEST:
                bits = costs.NAMING[KIND] + costs.NOTE[KIND] * len(own)
                yield Proposal(KIND, own[0], own[-1], bits, costs.NOTE[KIND], partial(_device, music, own))


def _is_octave(struck: Struck) -> bool:
    return len(struck.pitches) == 2 and struck.pitches[0] - struck.pitches[1] == OCTAVE and not struck.has_unknown


def _device(music: Music, places: list[int]) -> Device:
    backings, degrees = [], []
    for backing, same in groupby(places, music.melody.backing):
        names = backing.told or backing.names
        backings.append(backing)
        degrees.append([names[music.melody.strokes[place].top % 12] for place in same])
    data = {
        "count": len(places),
        "degrees": known(backings, degrees),
        "over": [backing.symbol for backing in backings],
    }
    return music.device(KIND, places[0], places[-1], f"melody in octaves{over(backings, degrees)}", data)
