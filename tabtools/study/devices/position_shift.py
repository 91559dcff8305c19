"""Position shifts: the hand leaves one position for another.

Found: wherever the fingering (`tabtools.hand`) moves the hand by five frets or more, farther than its fingers reach
from where it stands. A position is the fret of the first finger, as `annotate --hands` and the page tell it. Where a
shift is made by a slide, the finger takes the hand along.

This is about places on the neck: the same pitches at other places may have none.

`data`: `from` and `to` (positions), `frets` (how far, below zero for down), `by` (`slide` where a slide arrives there,
`open string` where one sounds between, else `jump`).

Example: `3:5 3:7 2:5 2:8`, then `2:12 2:15` is "from position V up to position XII".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from tabtools.hand.position import Stay, roman
from tabtools.study.devices.device import Device
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "position shift"
FARTHEST = 5
"""Frets."""
SLIDES = frozenset("/\\")


def find(music: Music) -> Iterator[Device]:
    """Each shift, in order."""
    notes = music.melody.timeline.notes
    for before, after in pairwise(music.stays):
        if abs(after.position - before.position) >= FARTHEST:
            yield _device(notes, before, after)


def _device(notes: tuple[TimedNote, ...], before: Stay, after: Stay) -> Device:
    arriving = notes[after.first]
    if arriving.via in SLIDES or any(motion.sign in SLIDES and motion.fret for motion in arriving.motions):
        way = "slide"
    elif any(note.fret == 0 for note in notes[before.last + 1 : after.first]):
        way = "open string"
    else:
        way = "jump"
    far = after.position - before.position
    said = f"from position {roman(before.position)} {'up' if far > 0 else 'down'} to position {roman(after.position)}"
    said += {"slide": ", on a slide", "open string": ", over an open string", "jump": ""}[way]
    last = after.first
    while last + 1 < len(notes) and notes[last + 1].part > 1:
        last += 1
    first = min(before.last, after.first)
    while notes[first].part > 1:
        first -= 1
    indices = tuple(range(first, last + 1))
    data = {"from": before.position, "to": after.position, "frets": far, "by": way}
    return Device(KIND, stretch_of(notes, first, last), indices, said, data, main=False)
