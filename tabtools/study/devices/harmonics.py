"""Natural harmonics one after another: bells, or the overtones of one string.

Found, in a solo with a bass or ringing notes: four strokes or more of one phrase one after another that are natural
harmonics, or harmonics touched above a fretted note, whatever the bass plays between; two, where they are the whole
phrase. Four or more on one string, and one way, are its overtones.

`data`: `touched` (`open strings`, `fretted notes`), `string` (where they are overtones of one, otherwise None), `notes`
(names), `frets` (where they are touched).

Example: the fourth string touched at the 12th, 7th, 5th and 3.9th fret in DADGAD is "natural harmonics up the overtones
of the fourth string: D A D F#, at frets 12 7 5 3.9".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from tabtools.notation.write import decimal
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import STRINGS
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "harmonics"
NATURAL, TOUCHED = "open strings", "fretted notes"
FEWEST, FEWEST_ALONE = 4, 2
MOST_TOLD = 10


def find(music: Music) -> Iterator[Device]:
    """Each row of harmonics, the ladders of one string apart, in order."""
    notes = music.melody.timeline.notes
    for stretch in music.stretches:
        tops = [notes[one.notes[0]] for one in music.melody.strokes[stretch.first : stretch.last + 1]]
        struck = [note for note in tops if note.note.touch is not None or note.index not in music.bass]
        for how, same in groupby(struck, key=_how):
            row = list(same)
            if how:
                for part in _parts(row):
                    if len(part) >= FEWEST or len(struck) == len(part) >= FEWEST_ALONE:
                        yield _device(music, part, how)


def _how(note: TimedNote) -> str:
    if note.note.touch is None:
        return ""
    return NATURAL if note.note.fret is None else TOUCHED


def _parts(row: Sequence[TimedNote]) -> Iterator[list[TimedNote]]:
    """The ladders of one string, and what stands between them."""
    part: list[TimedNote] = []
    for _, same in groupby(row, key=lambda note: note.string):
        own = list(same)
        if len(own) >= FEWEST:
            yield part
            yield own
            part = []
        else:
            part += own
    yield part


def _device(music: Music, row: Sequence[TimedNote], how: str) -> Device:
    names = [music.melody.backings[note.index].names[round(note.midi or 0) % 12] for note in row]
    frets = [decimal(note.note.touch) for note in row if note.note.touch is not None]
    moves = [(after.midi or 0) - (before.midi or 0) for before, after in pairwise(row)]
    is_ladder = how == NATURAL and len(row) >= FEWEST and len({note.string for note in row}) == 1
    is_ladder = is_ladder and (all(move > 0 for move in moves) or all(move < 0 for move in moves))
    if is_ladder:
        way = "up" if moves[0] > 0 else "down"
        said = f"natural harmonics {way} the overtones of the {STRINGS[row[0].string]} string"
    else:
        said = "natural harmonics" if how == NATURAL else "harmonics touched above fretted notes"
    if len(row) <= MOST_TOLD:
        said += f": {' '.join(names)}"
    if len(row) <= MOST_TOLD and how == NATURAL:
        said += f", all at fret {frets[0]}" if len(set(frets)) == 1 else f", at frets {' '.join(frets)}"
    data = {
        "voice": "melody",
        "touched": how,
        "string": row[0].string if is_ladder else None,
        "notes": names,
        "frets": frets,
    }
    indices = tuple(note.index for note in row)
    where = stretch_of(music.melody.timeline.notes, indices[0], indices[-1])
    return Device(KIND, where, indices, said, data, main=False)
