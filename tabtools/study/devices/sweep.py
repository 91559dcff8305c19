"""Sweeps: the pick goes over the strings in one direction, one note on each.

Found: in one line, four notes or more of even rhythm, a fifth of a second apart or less, each on the next string in
one direction and higher (or lower) than the one before, none of them ringing on. Where the line turns and goes back the
same way the sweep goes up and down; the note at the turn may be followed by one more there. Where an arpeggio or a
stack of fourths names its notes, it is told only if its picking is written: two notes on end with `[down]`, or `[up]`.

This is about places on the neck: the same pitches at other places may have none.

`data`: `direction` (`up`, `down`, `both`: of the pitches), `strings` (how many), `count` (of notes).

Example: `5:12[down] 4:14[down] 3:14[down] 2:13[down] 1:12[down]` in sixteenths is "sweep up over five strings".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words
from tabtools.study.music import Line, Music
from tabtools.timeline import TimedNote

KIND = "sweep"
FEWEST = 4
SLOWEST = 0.2
"""Seconds from note to note."""
PICKED = frozenset(("down", "up"))


def find(music: Music) -> Iterator[Device]:
    """Each sweep, in order."""
    notes, strokes = music.melody.timeline.notes, music.melody.strokes
    for line in music.lines:
        if len(line.pitches) < FEWEST:
            continue
        played = [notes[struck.notes[0]] for struck in strokes[line.first : line.first + len(line.pitches)]]
        legs = [leg for leg in _legs(line, played) if _is_swept(music, line.first, played, *leg)]
        while legs:
            start, end = legs.pop(0)
            is_turned = bool(legs) and legs[0][0] - end <= 1
            if is_turned:
                end = legs.pop(0)[1]
            yield _device(music, line, played, start, end, is_turned)


def is_written(music: Music, device: Device) -> bool:
    """Whether the pick is marked to go on the same way from one note of a sweep to the next."""
    marks = [{mark.word for mark in music.melody.timeline.notes[note].marks} & PICKED for note in device.notes]
    return any(before & after for before, after in pairwise(marks))


def _legs(line: Line, played: Sequence[TimedNote]) -> Iterator[tuple[int, int]]:
    """The first and last place of each stretch that goes from string to string one way."""
    start, way = 0, 0
    for place in range(1, len(played) + 1):
        move = _way(line, played, place) if place < len(played) else 0
        if move and (move == way or place - 1 == start):
            way = move
            continue
        if place - start >= FEWEST:
            yield start, place - 1
        start, way = (place - 1, move) if move else (place, 0)


def _way(line: Line, played: Sequence[TimedNote], place: int) -> int:
    """1 up to the next string, -1 down to the one before, 0 where it is neither."""
    before, here = played[place - 1], played[place]
    if not before.string or not here.string or abs(here.string - before.string) != 1 or here.via not in ("", "/", "\\"):
        return 0
    way = 1 if here.string < before.string else -1
    return way if (line.pitches[place] - line.pitches[place - 1]) * way > 0 else 0


def _is_swept(music: Music, first: int, played: Sequence[TimedNote], start: int, end: int) -> bool:
    """Whether it is quick and even, and no string rings on."""
    strokes = music.melody.strokes[first + start : first + end + 1]
    gaps = {after.onset - before.onset for before, after in pairwise(strokes)}
    lasts = (played[end].start - played[start].start) / (end - start)
    if len(gaps) != 1 or any(struck.doubt for struck in strokes) or lasts > SLOWEST:
        return False
    return not any(struck.release > after.onset for struck, after in pairwise(strokes))


def _device(music: Music, line: Line, played: Sequence[TimedNote], start: int, end: int, is_turned: bool) -> Device:
    strings = len({note.string for note in played[start : end + 1]})
    way = "both" if is_turned else "up" if line.pitches[end] > line.pitches[start] else "down"
    said = f"sweep {'up and down' if way == 'both' else way} over {in_words(strings)} strings"
    if way == "both" and line.pitches[start] > line.pitches[start + 1]:
        said = f"sweep down and up over {in_words(strings)} strings"
    data = {"direction": way, "strings": strings, "count": end - start + 1}
    return music.device(KIND, line.first + start, line.first + end, said, data, main=False)
