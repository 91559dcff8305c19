"""A pedal in the bass: one note below chords that change.

Found, in a solo of two voices: the same pitch first in the bass in three bars or more, or under three chords or more,
one after another, under two different chords at least.

`data`: `pitch` (a MIDI number), `name`, `times` (bars and chords), `over` (symbols).

Example: A in the bass under Am, Dm/A and E7/A is "the bass stays on A under Am, Dm/A and E7/A: a pedal".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import groupby

from tabtools.study.devices.bass_floor import Floor, floors_in, under
from tabtools.study.devices.device import Device
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Music

KIND = "bass pedal"
FEWEST, FEWEST_CHORDS = 3, 2


def find(lower: Music) -> Iterator[Proposal]:
    """Each pedal, in order."""
    for stretch in lower.stretches:
        for _, same in groupby(floors_in(lower, stretch), key=lambda floor: floor.pitch):
            floors = list(same)
            chords = {id(floor.backing) for floor in floors}
            if len(floors) >= FEWEST and len(chords) >= FEWEST_CHORDS:
                first, last = floors[0].first, floors[-1].last
                struck = lower.melody.strokes[first : last + 1]
                again = sum(one.pitches[-1] == floors[0].pitch for one in struck) - 1
                bits = costs.NAMING[KIND] + costs.FIRST_TIME + costs.AGAIN * again
                bits += costs.BASS_BETWEEN * (last - first - again)
                yield Proposal(KIND, first, last, bits, costs.FIRST_TIME, partial(_device, lower, floors))


def _device(lower: Music, floors: Sequence[Floor]) -> Device:
    said = f"the bass stays on {floors[0].name}{under([floor.backing for floor in floors])}: a pedal"
    data = {
        "voice": "bass",
        "pitch": floors[0].pitch,
        "name": floors[0].name,
        "times": len(floors),
        "over": [backing.symbol for backing in lower.backings(floors[0].first, floors[-1].last)],
    }
    return lower.device(KIND, floors[0].first, floors[-1].last, said, data)
