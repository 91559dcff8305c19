"""Wide bends, and where they lead.

Found: a note bent by three semitones or more above the pitch of the fret that is held: at once, before it is struck, or
by a slot that moves its pitch. (A whole tone is everyday, common practice.) Of several bends of one note the widest
counts.

`data`: `semitones` (how wide; a quarter tone is 0.5), `from` and `to` (degrees over the chord, in either style, None
without chord and key), `tone` (what the target is over the chord: `chord tone`, `extension`, `scale note`, `chromatic`,
or empty), `over` (the symbol, None for no chord).

Example: `2:8b11` over C is "bend of a minor third, from 5 to b7 of C, outside the scale".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tabtools.model.pitch import nearest_semitone
from tabtools.score.stations import Station, stations_of
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import INTERVALS
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "wide bend"
NARROWEST = 3
WHERE = {
    "chord tone": "a chord tone",
    "extension": "an extension",
    "scale note": "outside the chord",
    "chromatic": "outside the scale",
}

COLOURS = frozenset(("2", "6", "b7", "7"))
"""Degrees of the scale that colour a triad."""


def find(music: Music) -> Iterator[Device]:
    """Each wide bend, in order."""
    timeline = music.melody.timeline
    if not any(_may_be_wide(note) for note in timeline.notes):
        return
    for index, stations in enumerate(stations_of(timeline.notes, timeline.solo.header.instrument)):
        semitones, target = max(_bends(stations), default=(0.0, 0.0), key=lambda bend: bend[0])
        if semitones >= NARROWEST:
            yield _device(music, index, round(float(semitones), 6), target)


def _may_be_wide(note: TimedNote) -> bool:
    """Whether it is worth asking: a slot that goes on bending, a note bent before it is struck, a wide way."""
    if note.via == "b":
        return True
    if not note.motions or not note.path:
        return False
    return max(note.path) - min(note.path) > NARROWEST - 1 or any(motion.sign == "pb" for motion in note.motions)


def _bends(stations: Sequence[Station]) -> Iterator[tuple[float, float]]:
    """How many semitones each bend goes above the place where the string is held, and the pitch it reaches."""
    for station in stations:
        arrives = station.entry
        for bend in station.bends:
            if arrives is not None and station.pitch is not None:
                arrives += bend.semitones
                if bend.sign in ("b", "pb"):
                    yield arrives - station.pitch, arrives


def _device(music: Music, index: int, semitones: float, target: float) -> Device:
    backing = music.melody.backings[index]
    reached, left = nearest_semitone(target) % 12, nearest_semitone(target - semitones) % 12
    names = backing.told or backing.names
    far = INTERVALS.get(int(semitones) if semitones.is_integer() else 0, f"{semitones:g} semitones")
    said = f"bend of {far}, from {names[left]} to {names[reached]}"
    if backing.degrees:
        said += f" of {backing.place}"
    if backing.tones[reached]:
        is_colour = backing.tones[reached] == "scale note" and backing.degrees and backing.degrees[reached] in COLOURS
        said += ", a colour over the chord" if is_colour else f", {WHERE[backing.tones[reached]]}"
    data = {
        "semitones": int(semitones) if semitones.is_integer() else semitones,
        "from": backing.told[left] if backing.degrees else None,
        "to": backing.told[reached] if backing.degrees else None,
        "tone": backing.tones[reached],
        "over": backing.symbol,
    }
    return Device(KIND, stretch_of(music.melody.timeline.notes, index, index), (index,), said, data, main=False)
