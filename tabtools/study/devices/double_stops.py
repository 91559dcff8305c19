"""Double stops by interval.

Found: two strokes or more of exactly two notes with pitch, as they arrive, one after another within a phrase, as long
as the interval between the two keeps its name. One alone is no passage, but a bass note and a melody note. Major and
minor share a name: unisons, seconds, thirds, fourths, tritones, fifths, sixths, sevenths, octaves; ninths and tenths
are told from seconds and thirds, wider intervals are named within the octave. Low fifths are power chords
(`tabtools.study.devices.power_chords`), three octaves or more one voice (`tabtools.study.devices.octaves`).

`data`: `interval` (its name in the plural), `semitones` (of each), `count`, `degrees` (of each, the lower note first,
over the chord, in either style; empty without chord and key), `over` (symbols).

Example: C E, then D F over C is "double stops in thirds over C: 1+3 2+4".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import groupby

from tabtools.study.devices import octaves
from tabtools.study.devices.device import Device
from tabtools.study.devices.power_chords import is_power_chord
from tabtools.study.devices.wording import over
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.melody import Struck, is_bent_to
from tabtools.study.music import Music

KIND = "double stops"
FEWEST = 2

_WITHIN_OCTAVE = {
    1: "seconds",
    2: "seconds",
    3: "thirds",
    4: "thirds",
    5: "fourths",
    6: "tritones",
    7: "fifths",
    8: "sixths",
    9: "sixths",
    10: "sevenths",
    11: "sevenths",
}
_WIDER = {"thirds": "tenths", "seconds": "ninths"}


def find(music: Music) -> Iterator[Proposal]:
    """Each row of double stops, in order."""
    strokes = music.melody.strokes
    for stretch in music.stretches:
        places = range(stretch.first, stretch.last + 1)
        for name, same in groupby(places, key=lambda place: _name(music, strokes[place])):
            own = list(same)
            if name and len(own) >= FEWEST and not (name == "octaves" and len(own) >= octaves.FEWEST):
                bits = costs.NAMING[KIND] + costs.NOTE[KIND] * len(own)
                tell = partial(_device, music, name, own)
                yield Proposal(KIND, own[0], own[-1], bits, costs.NOTE[KIND], tell)


def _name(music: Music, struck: Struck) -> str:
    """The interval of two notes in the plural.

    Empty for one note or a chord, where not all is known, and for the unison that a bend leads to.
    """
    pitches = struck.pitches
    if len(pitches) != 2 or struck.has_unknown or is_power_chord(struck):
        return ""
    semitones = pitches[0] - pitches[1]
    if semitones == 0:
        notes = music.melody.timeline.notes
        return "" if any(is_bent_to(notes[index], pitches[0]) for index in struck.notes) else "unisons"
    if semitones % 12 == 0:
        return "octaves"
    name = _WITHIN_OCTAVE[semitones % 12]
    return _WIDER.get(name, name) if semitones > 12 else name


def _device(music: Music, name: str, places: list[int]) -> Device:
    strokes = music.melody.strokes
    backings, degrees = [], []
    for backing, same in groupby(places, music.melody.backing):
        backings.append(backing)
        degrees.append([_pair(backing.told, strokes[place].pitches) for place in same if backing.degrees])
    said = f"double stops in {name}"
    data = {
        "interval": name,
        "semitones": [strokes[place].pitches[0] - strokes[place].pitches[1] for place in places],
        "count": len(places),
        "degrees": [pair for pairs in degrees for pair in pairs],
        "over": [backing.symbol for backing in backings],
    }
    return music.device(KIND, places[0], places[-1], said + over(backings, degrees), data)


def _pair(degrees: tuple[str, ...], pitches: tuple[int, ...]) -> str:
    high, low = pitches
    return f"{degrees[low % 12]}+{degrees[high % 12]}"
