"""A grace note into the third: the flat third hammered, slid or pulled into the major one.

Found, the first over each chord in a solo: a note over a chord with a major third that is struck on the flat third and
moves to the major one by a hammer-on or a slide, within its slot or with the next note, where the flat third lasts half
a count or less; alone or in a double stop.

`data`: `by` (`hammer-on`, `slide`), `times`, `over` (the symbol).

Example: `3:5h6` over A7 is "grace note into the third of A7, b3 hammered to 3".
"""

from __future__ import annotations

from collections.abc import Iterator

from tabtools.model.pitch import nearest_semitone
from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import often
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "grace into third"
MOVES = {"h": "hammer-on", "/": "slide"}
WORDS = {"h": "hammered", "/": "slid"}
FLAT_THIRD, THIRD = 3, 4


def find(music: Music) -> Iterator[Device]:
    """Those over each chord, in order of the first of them."""
    melody = music.melody
    notes = melody.timeline.notes
    found: dict[tuple[str, Backing], list[tuple[int, int]]] = {}
    for index, note in enumerate(notes):
        backing = melody.backings[index]
        if note.midi is None or backing.root is None or (backing.root + THIRD) % 12 not in backing.core:
            continue
        if (nearest_semitone(note.midi) - backing.root) % 12 != THIRD:
            continue
        sign, first = _grace(music, notes, note)
        if sign and (nearest_semitone(_left(notes[first], note)) - backing.root) % 12 == FLAT_THIRD:
            found.setdefault((sign, backing), []).append((first, index))
    for (sign, backing), places in found.items():
        first, last = (melody.stroke_of[index] or 0 for index in places[0])
        said = f"grace note into the third of {backing.place}, b3 {WORDS[sign]} to 3"
        said += f", {often(len(places))} in this solo" if len(places) > 1 else ""
        data = {"by": MOVES[sign], "times": len(places), "over": backing.symbol}
        yield music.device(KIND, first, last, said, data, main=False)


def _grace(music: Music, notes: tuple[TimedNote, ...], note: TimedNote) -> tuple[str, int]:
    """The move that leads to a note, and the index of the note it begins with; no move where there is none."""
    steps = note.steps
    if len(note.path) > 1 and steps and steps[-1].motion.sign in MOVES:
        return steps[-1].motion.sign, note.index
    if note.via not in MOVES or note.origin is None or len(note.path) > 1:
        return "", note.index
    before = notes[note.origin]
    place = music.melody.stroke_of[note.index]
    if place is None or before.index + 1 != note.index or note.part > 1:
        return "", note.index
    struck = music.melody.strokes[place]
    is_short = 2 * (struck.onset - music.melody.strokes[place - 1].onset) <= struck.beat
    return (note.via if is_short and struck.doubt is None else ""), before.index


def _left(before: TimedNote, note: TimedNote) -> float:
    """The pitch that is left for the third."""
    return note.path[-2] if before is note else before.midi or 0
