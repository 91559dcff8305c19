"""Position shifts: the hand leaves one position for another.

Found: wherever one position ends and another begins, by the rules of `tabtools.study.positions`, whose lowest frets
are seven or more apart: the hand has to travel, whichever fingers it takes. Told are the frets that are played, not
where the hand stands, which is for the fingering to say (`tabtools.hand`).

This is about places on the neck: the same pitches at other places may have none.

`data`: `from` and `to` (frets), `frets` (how far, below zero for down), `by` (`slide` where a slide arrives there,
`open string` where one sounds between, else `jump`).

Example: `3:5 3:7 2:5 2:8`, then `2:12 2:15` is "from frets 5-8 up to frets 12-15".
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from tabtools.notation.write import decimal
from tabtools.study.devices.device import Device
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.study.positions import Position
from tabtools.timeline import TimedNote

KIND = "position shift"
FARTHEST = 7
SLIDES = frozenset("/\\")


def find(music: Music) -> Iterator[Device]:
    """Each shift, in order."""
    notes = music.melody.timeline.notes
    for before, after in pairwise(music.positions):
        if abs(float(after.low - before.low)) >= FARTHEST:
            yield _device(notes, before, after)


def _device(notes: tuple[TimedNote, ...], before: Position, after: Position) -> Device:
    arriving = notes[after.first]
    if arriving.via in SLIDES or any(motion.sign in SLIDES and motion.fret for motion in arriving.motions):
        way = "slide"
    elif any(note.fret == 0 for note in notes[before.last + 1 : after.first]):
        way = "open string"
    else:
        way = "jump"
    far = after.low - before.low
    said = f"from {_frets(before)} {'up' if far > 0 else 'down'} to {_frets(after)}"
    said += {"slide": ", on a slide", "open string": ", over an open string", "jump": ""}[way]
    last = after.first
    while last + 1 < len(notes) and notes[last + 1].part > 1:
        last += 1
    first = min(before.last, after.first)
    indices = tuple(range(first, last + 1))
    data = {"from": _number(before.low), "to": _number(after.low), "frets": _number(far), "by": way}
    return Device(KIND, stretch_of(notes, first, last), indices, said, data, main=False)


def _frets(position: Position) -> str:
    low, high = decimal(position.low), decimal(position.high)
    return f"fret {low}" if low == high else f"frets {low}-{high}"


def _number(fret: Fraction | int) -> int | float:
    return int(fret) if fret == int(fret) else float(fret)
