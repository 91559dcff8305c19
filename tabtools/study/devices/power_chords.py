"""Power chords, alone or over a low string that goes on between them.

Found: within a phrase, four perfect fifths or more from G3 down, bare or with the octave on top, one after another or
with single notes between them, all of one pitch, that lie no higher than the lowest of the chords: the pedal of a riff.

`data`: `chords` (their roots as they change, `D5`), `count` (of chords), `pedal` (the name of the low note, None where
there is none), `scale` (of more than five tones, that all notes show together, its full name, or None), `over`
(symbols).

Example: D5 F5 G5 F5 with low D between them is "power chords over a pedal D: D5 F5 G5 F5".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import NamedTuple

from tabtools.study.devices.device import Device
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.melody import Struck
from tabtools.study.music import Music
from tabtools.study.scale_names import named_scale

KIND = "power chords"
FEWEST = 4
FIFTH, OCTAVE, HIGHEST = 7, 12, 55
PENTATONIC = 5
DARK = {1: "flat second", 6: "tritone"}
"""Semitones above the root where a power chord sounds dark, in words."""
RARELY_MEANT = "locrian"
"""What fifths on the flat second and the tritone show, and nobody thinks of."""


class Riff(NamedTuple):
    """Strokes `first` to `last`: those that are power chords, and the pitch of what is struck between them, or None."""

    first: int
    last: int
    chords: tuple[int, ...]
    pedal: int | None


def is_power_chord(struck: Struck) -> bool:
    """Whether a stroke is a low fifth, bare or with its octave."""
    low = struck.pitches[-1]
    above = [pitch - low for pitch in reversed(struck.pitches)]
    return above in ([0, FIFTH], [0, FIFTH, OCTAVE]) and low <= HIGHEST and not struck.has_unknown


def find(music: Music) -> Iterator[Proposal]:
    """Each passage, in order."""
    for stretch in music.stretches:
        for riff in _riffs(music.melody.strokes, stretch.first, stretch.last):
            if len(riff.chords) >= FEWEST:
                yield _proposal(music, riff)


def _riffs(strokes: tuple[Struck, ...], first: int, last: int) -> Iterator[Riff]:
    """The longest passages of power chords and one low note."""
    chords: list[int] = []
    pedal: int | None = None
    for place in range(first, last + 1):
        struck = strokes[place]
        if len(struck.pitches) > 1 and is_power_chord(struck):
            if pedal is not None and struck.pitches[-1] < pedal:
                yield _riff(chords, pedal)
                chords, pedal = [], None
            chords.append(place)
        elif chords and _is_pedal(struck, pedal, min(strokes[at].pitches[-1] for at in chords[-FEWEST:])):
            pedal = struck.top
        elif chords:
            yield _riff(chords, pedal)
            chords, pedal = [], None
    if chords:
        yield _riff(chords, pedal)


def _is_pedal(struck: Struck, pedal: int | None, lowest: int) -> bool:
    return len(struck.pitches) == 1 and struck.top <= lowest and pedal in (None, struck.top) and not struck.has_unknown


def _riff(chords: list[int], pedal: int | None) -> Riff:
    """What reaches from the first chord to the last; no pedal where none is struck between them."""
    is_between = chords[-1] - chords[0] >= len(chords)
    return Riff(chords[0], chords[-1], tuple(chords), pedal if is_between else None)


def _proposal(music: Music, riff: Riff) -> Proposal:
    between = riff.last - riff.first + 1 - len(riff.chords)
    bits = costs.NAMING[KIND] + costs.NOTE[KIND] * len(riff.chords) + costs.AGAIN * between
    return Proposal(KIND, riff.first, riff.last, bits, costs.NOTE[KIND], partial(_device, music, riff))


def _device(music: Music, riff: Riff) -> Device:
    melody = music.melody
    roots = [melody.backing(place).names[melody.strokes[place].pitches[-1] % 12] for place in riff.chords]
    chords = [f"{root}5" for place, root in enumerate(roots) if place == 0 or root != roots[place - 1]]
    backings = music.backings(riff.first, riff.last)
    pitches = [pitch for struck in melody.strokes[riff.first : riff.last + 1] for pitch in struck.pitches]
    found = named_scale(pitches, backings)
    is_telling = found is not None and found.is_shown and len(found.tones) > PENTATONIC and len(set(roots)) > 2
    scale = found.name if found and is_telling and not found.name.endswith(RARELY_MEANT) else None
    pedal = None if riff.pedal is None else backings[0].names[riff.pedal % 12]
    said = "power chords" + (f" over a pedal {pedal}" if pedal else "") + f": {' '.join(chords)}"
    said += f", in {scale}" if scale else ""
    home = backings[0].root if backings[0].root is not None else riff.pedal
    low = [melody.strokes[place].pitches[-1] for place in riff.chords]
    strange = (
        {} if home is None else {root: DARK.get((pitch - home) % 12) for root, pitch in zip(roots, low, strict=True)}
    )
    said += "".join(f", {root}5 on the {where}" for root, where in strange.items() if where)
    data = {
        "chords": chords,
        "count": len(riff.chords),
        "pedal": pedal,
        "scale": scale,
        "over": [backing.symbol for backing in backings],
    }
    return music.device(KIND, riff.first, riff.last, said, data)
