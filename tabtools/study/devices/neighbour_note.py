"""Neighbour notes above a bass: a step away from a tone of the chord, and back.

Found, in a solo of two voices: three notes of the tune one after another, the first and the last the same tone of one
chord, the middle a step above or below, not longer than they are. On a strong count, and left for a weak one, it leans.

`data`: `notes` (names), `side` (`upper`, `lower`), `leans`, `over` (the symbol).

Example: F#, E and F# over a D in the bass, under D, are "lower neighbour: F# E F#, from 3 of D and back".
"""

from __future__ import annotations

from collections.abc import Iterator

from tabtools.study.devices.device import Device
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music

KIND = "neighbour note"
STEP = 2


def find(music: Music) -> Iterator[Device]:
    """Each neighbour, in order; of notes that go to and fro the first."""
    if not music.bass:
        return
    tune = music.tune
    for stretch in tune.stretches:
        place = stretch.first
        while place + 2 <= stretch.last:
            if _is_left_and_met_again(tune, place):
                yield _device(tune, place)
                place += 1
            place += 1


def _is_left_and_met_again(tune: Music, place: int) -> bool:
    melody = tune.melody
    first, middle, last = melody.strokes[place : place + 3]
    backing = melody.backing(place)
    is_one_chord = backing.chord is not None and all(melody.backing(place + at) is backing for at in (1, 2))
    is_neighbour = first.pitches == last.pitches and 1 <= abs(middle.top - first.top) <= STEP
    lengths = (middle.onset - first.onset, last.onset - middle.onset)
    is_shorter = not middle.doubt and lengths[1] <= lengths[0]
    return is_one_chord and is_neighbour and is_shorter and backing.tones[first.top % 12] == "chord tone"


def _device(tune: Music, place: int) -> Device:
    melody = tune.melody
    own = melody.strokes[place : place + 3]
    backing = melody.backing(place)
    names = [backing.names[one.top % 12] for one in own]
    side = "upper" if own[1].top > own[0].top else "lower"
    notes = tuple(one.notes[0] for one in own)
    where = stretch_of(melody.timeline.notes, notes[0], notes[-1])
    degree = backing.told[own[0].top % 12]
    said = f"{side} neighbour: {' '.join(names)}, from {degree} of {backing.place} and back"
    leans = own[1].is_on_strong_beat and not own[2].is_on_strong_beat
    said += f"; {names[1]} leans on {names[2]}" * leans
    data = {"voice": "melody", "notes": names, "side": side, "leans": leans, "over": backing.symbol}
    return Device(KIND, where, notes, said, data, main=False)
