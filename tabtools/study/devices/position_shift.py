"""Position shifts: the hand leaves one position for another.

Found: wherever the fingering (`tabtools.hand`) moves the hand by five frets or more, farther than its fingers reach
from where it stands. A position is the fret of the first finger, as `annotate --hands` and the page tell it. Where a
shift is made by a slide, the finger takes the hand along. To harmonics, or from them, none is told; nor within a figure
that is told already (`FIGURES`), nor from a chord to the one note that ends the solo over it. The same shift from the
same place on the neck to the same place, as in a riff that comes again, is told where it is first made, with how often
it comes.

This is about places on the neck: the same pitches at other places may have none.

`data`: `from` and `to` (positions), `frets` (how far, below zero for down), `by` (`slide` where a slide arrives there,
`open string` where one sounds between, else `jump`), `times`.

Example: `3:5 3:7 2:5 2:8`, then `2:12 2:15` is "from position V up to position XII".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from tabtools.hand.position import Stay, roman
from tabtools.study.devices import (
    double_stops,
    moved_cell,
    octaves,
    power_chords,
    returning_figure,
    sequence,
    swept_chords,
    triad_pair,
)
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import often
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "position shift"
FARTHEST = 5
"""Frets."""
SLIDES = frozenset("/\\")
FIGURES = frozenset(
    module.KIND
    for module in (
        double_stops,
        octaves,
        power_chords,
        swept_chords,
        triad_pair,
        moved_cell,
        sequence,
        returning_figure,
    )
)
"""What is told of chords or of a figure that move along the neck: the hand goes with them. A repeated cell does not."""


def find(music: Music, told: Iterable[Device] = ()) -> Iterator[Device]:
    """Each shift, in the order in which they are first made; none within what is `told` of figures."""
    notes = music.melody.timeline.notes
    figures = [range(one.notes[0], one.notes[-1] + 1) for one in told if one.kind in FIGURES]
    found: dict[tuple[object, ...], list[tuple[Stay, Stay]]] = {}
    for before, after in pairwise(music.stays):
        is_for_bells = any(notes[index].note.touch is not None for index in (before.last, after.first))
        if abs(after.position - before.position) >= FARTHEST and not is_for_bells:
            if _ends_over_a_chord(music, before, after):
                continue
            if any(before.last in figure and after.first in figure for figure in figures):
                continue
            left, arriving = notes[before.last], notes[after.first]
            places = (left.string, left.fret), (arriving.string, arriving.fret)
            same = before.position, after.position, _way(notes, before, after), places
            found.setdefault(same, []).append((before, after))
    for shifts in found.values():
        yield _device(notes, *shifts[0], len(shifts))


def _ends_over_a_chord(music: Music, before: Stay, after: Stay) -> bool:
    """Whether the hand goes from a chord to the one stroke that is left."""
    strokes, stroke_of = music.melody.strokes, music.melody.stroke_of
    left = stroke_of[before.last]
    is_last = stroke_of[after.first] == len(strokes) - 1 and left == len(strokes) - 2
    return is_last and left is not None and len(strokes[left].notes) > 2


def _way(notes: tuple[TimedNote, ...], before: Stay, after: Stay) -> str:
    arriving = notes[after.first]
    if arriving.via in SLIDES or any(motion.sign in SLIDES and motion.fret for motion in arriving.motions):
        return "slide"
    return "open string" if any(note.fret == 0 for note in notes[before.last + 1 : after.first]) else "jump"


def _device(notes: tuple[TimedNote, ...], before: Stay, after: Stay, times: int) -> Device:
    way = _way(notes, before, after)
    far = after.position - before.position
    said = f"from position {roman(before.position)} {'up' if far > 0 else 'down'} to position {roman(after.position)}"
    said += {"slide": ", on a slide", "open string": ", over an open string", "jump": ""}[way]
    said += f", {often(times - 1)} more" if times > 1 else ""
    last = after.first
    while last + 1 < len(notes) and notes[last + 1].part > 1:
        last += 1
    first = min(before.last, after.first)
    while notes[first].part > 1:
        first -= 1
    indices = tuple(range(first, last + 1))
    data = {"from": before.position, "to": after.position, "frets": far, "by": way, "times": times}
    return Device(KIND, stretch_of(notes, first, last), indices, said, data, main=False)
