"""Drones: an open string that rings on and is struck again and again while a line moves on other strings.

Found, in a solo of two voices that ring: a string struck open three times or more in one phrase (twice in a row counts
once), and after each stroke of it but the last notes above the bass, all of them on one other string, of three
different pitches at least. The note before its first stroke belongs to the line.

`data`: `string`, `name`, `times`, `line` (names of the notes that move, one struck again once).

Example: the open first string after each note of a tune on the second is "the open first string, E, comes back four
times as a drone against A B C B".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import STRINGS, in_words
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "drone"
FEWEST = 3
FEWEST_PITCHES = 3
MOST_TOLD = 8


def find(music: Music) -> Iterator[Device]:
    """Each drone, phrase by phrase, in order of the strings."""
    if not (music.bass and music.has_ringing):
        return
    notes = music.melody.timeline.notes
    for stretch in music.stretches:
        own = [notes[index] for index in music.melody.notes_of(stretch.first, stretch.last)]
        for string in sorted({note.string for note in own if _is_open(note)}):
            yield from _drones(music, own, string)


def _is_open(note: TimedNote) -> bool:
    return note.fret == 0 and note.string > 0 and note.note.touch is None and not note.via


def _drones(music: Music, own: Sequence[TimedNote], string: int) -> Iterator[Device]:
    """The stretches in which a string sounds open alone, and others move between."""
    groups: list[list[TimedNote]] = [[]]
    for note in own:
        if note.string == string and not _is_open(note):
            yield from _device(music, groups, string)
            groups = [[]]
        elif note.string == string:
            is_again = len(groups) > 1 and len(groups[-1]) == 1
            groups[-1:] = [[note]] if is_again else [groups[-1], [note]]
        elif len(groups) > 1:
            groups[-1].append(note)
        elif note.index not in music.bass:
            groups[0] = [note]
    yield from _device(music, groups, string)


def _device(music: Music, groups: Sequence[Sequence[TimedNote]], string: int) -> Iterator[Device]:
    (before, *struck) = groups
    if len(struck) < FEWEST or any(len(group) == 1 for group in struck[:-1]):
        return
    line = [note for group in struck for note in group[1:] if note.index not in music.bass]
    line = [note for note in before if line and note.string == line[0].string] + line
    strings = {note.string for note in line}
    pitches = [round(note.midi or 0) for note in line]
    if len(strings) != 1 or len(set(pitches)) < FEWEST_PITCHES:
        return
    drone = struck[0][0]
    names = music.melody.backings[drone.index].names
    moving = [pitch for at, pitch in enumerate(pitches) if not at or pitch != pitches[at - 1]]
    said = f"the open {STRINGS[string]} string, {names[round(drone.midi or 0) % 12]}, comes back "
    said += f"{in_words(len(struck))} times as a drone"
    if len(moving) <= MOST_TOLD:
        said += f" against {' '.join(names[pitch % 12] for pitch in moving)}"
    indices = tuple(sorted([group[0].index for group in struck] + [note.index for note in line]))
    where = stretch_of(music.melody.timeline.notes, indices[0], indices[-1])
    data = {
        "voice": "melody",
        "string": string,
        "name": names[round(drone.midi or 0) % 12],
        "times": len(struck),
        "line": [names[pitch % 12] for pitch in moving],
    }
    yield Device(KIND, where, indices, said, data, main=False)
