"""Tapped figures: taps of the plucking hand, and what the other hand hammers and pulls between them.

Found: within a phrase, from a tapped stroke on, as long as every stroke is reached by a tap, a hammer-on, a pull-off or
a slide, or taps within its slot; at least three strokes. A plucked stroke ends it.

`data`: `count` (strokes), `taps` (how many notes are tapped), `degrees` (where the tapped notes arrive, each once, in
order, a list for each chord, in the plain style; empty without chord and key), `over` (symbols, None for no chord).

Example: `t1:19 p15 p12 t19 p15 p12` over Em is "tapped figure of six notes, two taps over Em: 5".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from tabtools.model.pitch import nearest_semitone
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words, known, over
from tabtools.study.music import Music
from tabtools.timeline import TimedNote
from tabtools.wording import plural

KIND = "tapped figure"
FEWEST = 3
SLURS = frozenset("hp/\\")


def find(music: Music) -> Iterator[Device]:
    """Each tapped figure, in order."""
    notes, strokes = music.melody.timeline.notes, music.melody.strokes
    if not any(_is_tapped(note) for note in notes):
        return
    for stretch in music.stretches:
        start = None
        for place in range(stretch.first, stretch.last + 2):
            struck = [notes[index] for index in strokes[place].notes] if place <= stretch.last else []
            is_tap = any(_is_tapped(note) for note in struck)
            if start is None:
                start = place if is_tap else None
            elif not struck or not (is_tap or all(note.via in SLURS for note in struck)):
                if place - start >= FEWEST:
                    yield _device(music, start, place - 1)
                start = None


def _is_tapped(note: TimedNote) -> bool:
    return note.via == "t" or any(motion.sign == "t" for motion in note.motions)


def _device(music: Music, first: int, last: int) -> Device:
    melody = music.melody
    notes = melody.timeline.notes
    taps = [
        index for place in range(first, last + 1) for index in melody.strokes[place].notes if _is_tapped(notes[index])
    ]
    backings, degrees = [], []
    for backing, same in groupby(taps, lambda index: melody.backings[index]):
        backings.append(backing)
        names = backing.degrees or backing.names
        pitches = (midi for midi in (notes[index].midi for index in same) if midi is not None)
        degrees.append(list(dict.fromkeys(names[nearest_semitone(midi) % 12] for midi in pitches)))
    count = last - first + 1
    said = f"tapped figure of {in_words(count)} notes, {in_words(len(taps))} {plural('tap', len(taps))}"
    data = {
        "count": count,
        "taps": len(taps),
        "degrees": known(backings, degrees),
        "over": [backing.symbol for backing in backings],
    }
    return music.device(KIND, first, last, said + over(backings, degrees), data, main=False)
