"""Lines of altered tones over a dominant: neither chord nor run, but the colours that its symbol asks for.

Found: in one line four notes or more, one after another under one dominant chord that asks for an altered tone, all of
the altered scale of its root, with three of its altered tones (b9 #9 b5 b13) among them.

`data`: `scale` (its full name), `degrees` (over the chord, each once, in the order in which they come), `count`, `over`
(the symbol).

Example: F# G# Bb C F D# C Bb over D7alt is "D altered line over D7alt: 3 b5 b13 b7 #9 b9".
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from itertools import groupby

from tabtools.study.backing import Backing
from tabtools.study.devices.chord_names import ALTERED, is_dominant
from tabtools.study.devices.device import Device
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Music

KIND = "altered line"
FEWEST, FEWEST_ALTERED = 4, 3
SCALE = ALTERED | {0, 4, 10}


def find(music: Music) -> Iterator[Proposal]:
    """The longest such stretches, in order."""
    scales = {backing: _scale(backing) for backing in dict.fromkeys(music.melody.stroke_backings) if _asks(backing)}
    for line in music.lines if scales else ():
        places = range(line.first, line.first + len(line.pitches))
        for backing, same in groupby(places, key=lambda place: _altered_over(music, place, scales)):
            own = list(same)
            if backing is None or len(own) < FEWEST:
                continue
            if len(ALTERED.intersection(_above(music, own, backing))) >= FEWEST_ALTERED:
                bits = costs.NAMING[KIND] + costs.OWN_SCALE + costs.NOTE[KIND] * len(own)
                tell = partial(_device, music, own, backing)
                yield Proposal(KIND, own[0], own[-1], bits, costs.NOTE[KIND], tell)


def _asks(backing: Backing) -> bool:
    """Whether it is a dominant whose symbol asks for an altered tone."""
    root = backing.root or 0
    asked = (backing.tones[(root + tone) % 12] for tone in ALTERED)
    return is_dominant(backing) and any(tone in ("chord tone", "extension") for tone in asked)


def _scale(backing: Backing) -> frozenset[int]:
    """The altered scale of its root."""
    return frozenset(((backing.root or 0) + tone) % 12 for tone in SCALE)


def _altered_over(music: Music, place: int, scales: Mapping[Backing, frozenset[int]]) -> Backing | None:
    """What a stroke stands over, where it is a tone of the altered scale of an altered dominant."""
    backing = music.melody.backing(place)
    return backing if music.melody.strokes[place].top % 12 in scales.get(backing, ()) else None


def _above(music: Music, places: Sequence[int], backing: Backing) -> dict[int, None]:
    """The semitones above the root, each once, in order."""
    return dict.fromkeys((music.melody.strokes[place].top - (backing.root or 0)) % 12 for place in places)


def _device(music: Music, places: Sequence[int], backing: Backing) -> Device:
    root = backing.root or 0
    degrees = [backing.extended[(root + tone) % 12] for tone in _above(music, places, backing)]
    scale = f"{backing.names[root]} altered"
    data = {"scale": scale, "degrees": degrees, "count": len(places), "over": backing.symbol}
    said = f"{scale} line over {backing.place}: {' '.join(degrees)}"
    return music.device(KIND, places[0], places[-1], said, data)
