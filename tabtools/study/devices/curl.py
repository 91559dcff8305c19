"""Curls: a note bent by a quarter tone, or less than a semitone.

Found, the first of each degree over each chord in a solo: notes that end between two semitones because a bend leads
there, or are bent less than a semitone within their slot. A blue third is none of them: it is told as that.

`data`: `degree` (over the chord, in either style, None without chord and key), `times`, `over` (the symbol).

Example: `3:5b5.5` over Am7, once, is "quarter-tone curl on b3 of Am7".
"""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import often
from tabtools.study.melody import BENDS, OFF_PITCH, stretch_of
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "curl"


def find(music: Music) -> Iterator[Device]:
    """The curls on each degree over each chord, in order of the first of them."""
    melody = music.melody
    found: dict[tuple[int, Backing], list[int]] = {}
    for place, struck in enumerate(melody.strokes):
        note = melody.timeline.notes[struck.notes[0]]
        if (note.motions or note.via == "b") and place not in music.blue and _is_curled(note):
            leaves = floor(min(note.path) + OFF_PITCH) % 12
            found.setdefault((leaves, melody.backing(place)), []).append(place)
    for (leaves, backing), places in found.items():
        yield _device(music, leaves, backing, places)


def _is_curled(note: TimedNote) -> bool:
    """Whether its widest bend goes less than a semitone, and more than out of tune."""
    if len(note.path) < 2 or not (note.via == "b" or any(motion.sign in BENDS for motion in note.motions)):
        return False
    return OFF_PITCH <= max(note.path) - min(note.path) <= 1 - OFF_PITCH


def _device(music: Music, leaves: int, backing: Backing, places: list[int]) -> Device:
    melody = music.melody
    names = backing.told or backing.names
    said = f"quarter-tone curl on {names[leaves]}" + (f" of {backing.place}" if backing.degrees else "")
    said += f", {often(len(places))} in this solo" if len(places) > 1 else ""
    data = {
        "degree": names[leaves] if backing.degrees else None,
        "times": len(places),
        "over": backing.symbol,
    }
    first = melody.strokes[places[0]].notes[0]
    return Device(KIND, stretch_of(melody.timeline.notes, first, first), (first,), said, data, main=False)
