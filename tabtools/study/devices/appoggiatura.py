"""Appoggiaturas above a bass: a strange note leans on the tone of the chord a step away.

Found, in a solo of two voices: a note of the tune on a count, plucked together with the bass, that is neither a tone of
the chord nor one that its symbol names, reached by a leap or first in its phrase; and the next note of the tune, a step
away over the same chord, is a tone of it. What is a suspension is none.

`data`: `leans`, `on` (names), `degree` (of the second over the chord, in either style), `over` (the symbol).

Example: F together with a C in the bass, then E, over C, is "appoggiatura F, which leans on E, 3 of C".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music

KIND = "appoggiatura"
STEP = 2


def find(music: Music) -> Iterator[Device]:
    """Each appoggiatura, in order."""
    if not music.bass:
        return
    tune = music.tune
    suspended = {one.note for one in music.suspensions}
    for stretch in tune.stretches:
        for place, after in pairwise(range(stretch.first, stretch.last + 1)):
            if tune.melody.strokes[place].notes[0] not in suspended and _leans(music, stretch.first, place):
                yield _device(tune, place, after)


def _leans(music: Music, first: int, place: int) -> bool:
    tune = music.tune.melody
    struck, following = tune.strokes[place], tune.strokes[place + 1]
    backing = tune.backing(place)
    whole = music.melody.stroke_of[struck.notes[0]]
    is_struck_with = whole is not None and music.melody.strokes[whole].notes[-1] in music.bass
    is_strange = backing.chord is not None and backing.tones[struck.top % 12] in ("scale note", "chromatic")
    if not (is_struck_with and is_strange and struck.is_on_beat and tune.backing(place + 1) is backing):
        return False
    is_leapt_to = place == first or abs(struck.top - tune.strokes[place - 1].top) > STEP
    goes_by_step = 1 <= abs(following.top - struck.top) <= STEP
    return is_leapt_to and goes_by_step and backing.tones[following.top % 12] == "chord tone"


def _device(tune: Music, place: int, after: int) -> Device:
    backing = tune.melody.backing(place)
    struck, goal = (tune.melody.strokes[at] for at in (place, after))
    leans, on = (backing.names[one.top % 12] for one in (struck, goal))
    data = {
        "voice": "melody",
        "leans": leans,
        "on": on,
        "degree": backing.told[goal.top % 12],
        "over": backing.symbol,
    }
    notes = (struck.notes[0], goal.notes[0])
    where = stretch_of(tune.melody.timeline.notes, *notes)
    said = f"appoggiatura {leans}, which leans on {backing.said(goal.top % 12)}"
    return Device(KIND, where, notes, said, data, main=False)
