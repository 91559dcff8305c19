"""What a bend does beside going up: bent before it is struck and let down, bent in steps, struck again and again.

Found: a note that is bent before it is struck (`8pb10`) and let down by the next slot or within its own: a pre-bend
released. A string that is bent to two different heights or more, a semitone or more apart, without being struck again:
a bend in steps.

`data`: `how` (`pre-bend`, `steps`), `heights` (degrees over the chord of every pitch reached, in either style; empty
without chord and key), `over` (the symbol).

Example: `2:8pb10` then `r8` over Am7 is "pre-bend released, 1 down to b7 of Am7".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from tabtools.model.pitch import nearest_semitone
from tabtools.study.devices.device import Device
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "bend figure"
PRE_BEND, STEPS = "pre-bend", "steps"
BENT = frozenset("br")


def find(music: Music) -> Iterator[Device]:
    """Each such bend, in order."""
    melody = music.melody
    notes, strokes = melody.timeline.notes, melody.strokes
    for phrase in music.phrases:
        place = phrase.first
        while place <= phrase.last:
            end = place
            while end < phrase.last and _goes_on(notes, strokes[end + 1].notes):
                end += 1
            is_bent = end > place or notes[strokes[place].notes[0]].motions
            if is_bent and all(len(struck.pitches) == 1 for struck in strokes[place : end + 1]):
                yield from _told(music, place, end)
            place = end + 1


def _goes_on(notes: tuple[TimedNote, ...], struck: tuple[int, ...]) -> bool:
    return len(struck) == 1 and notes[struck[0]].via in BENT and notes[struck[0]].origin is not None


def _told(music: Music, first: int, last: int) -> Iterator[Device]:
    notes = music.melody.timeline.notes
    own = [notes[struck.notes[0]] for struck in music.melody.strokes[first : last + 1]]
    is_before = any(motion.sign == "pb" for motion in own[0].motions)
    heard = [own[0].attack or 0]
    for note in own:
        heard += note.path[-len(note.steps) :] if note.steps else [note.midi or 0]
    line = [nearest_semitone(pitch) for pitch in heard]
    line = [pitch for at, pitch in enumerate(line) if at == 0 or pitch != line[at - 1]]
    rises = sum(after > before for before, after in pairwise(line))
    if is_before and len(line) > 1 and line[1] < line[0]:
        yield _device(music, first, last, PRE_BEND, line)
    elif (
        not is_before
        and last > first
        and rises > 1
        and len(set(line)) > 2
        and all(note.via in BENT for note in own[1:])
    ):
        yield _device(music, first, last, STEPS, line)


def _device(music: Music, first: int, last: int, how: str, line: list[int]) -> Device:
    backing = music.melody.backing(first)
    names = backing.told or backing.names
    heights = [names[pitch % 12] for pitch in line]
    of = f" of {backing.place}" if backing.degrees else ""
    said = (
        f"pre-bend released, {heights[0]} down to {heights[1]}{of}"
        if how == PRE_BEND
        else f"bend in steps, {' '.join(heights)}{of}"
    )
    data = {"how": how, "heights": heights if backing.degrees else [], "over": backing.symbol}
    return music.device(KIND, first, last, said, data, main=False)
