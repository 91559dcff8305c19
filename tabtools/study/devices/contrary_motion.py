"""Contrary motion: one voice goes up while the other goes down.

Found: four strokes or more of two notes, one after another within a phrase, of which the upper notes go one way and the
lower ones the other, each time by a major third at most, and each voice by step half of the time at least. Where bass
and tune are two voices, of a bass note and a note of the tune struck together, whatever is played between them.

`data`: `upper` and `lower` (names), `direction` (of the upper voice: `up`, `down`) and, above a bass, `voice` (`both`).

Example: G A B C over E D C B are "contrary motion: G A B C up, E D C B down".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music

KIND = "contrary motion"
FEWEST = 4
STEP, WIDEST = 2, 4

Pair = tuple[int, int, int, int]
"""The indices of an upper and a lower note, and their pitches."""


def find(music: Music) -> Iterator[Device]:
    """Each stretch of it, in order."""
    for stretch in music.stretches if len(music.together) >= FEWEST else ():
        row: list[Pair] = []
        for pair in _pairs(music, stretch.first, stretch.last):
            if pair is not None and (not row or _goes_on(row, pair)):
                row.append(pair)
                continue
            yield from _told(music, row)
            row = [row[-1], pair] if row and pair and _goes_on(row[-1:], pair) else [pair] if pair else []
        yield from _told(music, row)


def _pairs(music: Music, first: int, last: int) -> Iterator[Pair | None]:
    """What is struck together; None for a stroke of one voice that is all there is."""
    tune = music.tune.melody.stroke_of if music.bass else ()
    for struck in music.melody.strokes[first : last + 1]:
        top, low = struck.notes[0], struck.notes[-1]
        if len(struck.notes) > 1 and not struck.has_unknown:
            is_pair = low in music.bass and tune[top] is not None if music.bass else len(struck.notes) == 2
            if is_pair:
                yield top, low, struck.pitches[0], struck.pitches[-1]
                continue
        if not music.bass:
            yield None


def _goes_on(row: Sequence[Pair], pair: Pair) -> bool:
    """Whether both voices move, against each other, and as they did before."""
    up, down = (pair[voice] - row[-1][voice] for voice in (2, 3))
    if not (up * down < 0 and max(abs(up), abs(down)) <= WIDEST):
        return False
    return len(row) == 1 or (up > 0) == (row[-1][2] > row[-2][2])


def _told(music: Music, row: Sequence[Pair]) -> Iterator[Device]:
    if len(row) < FEWEST:
        return
    for voice in (2, 3):
        steps = sum(abs(after[voice] - before[voice]) <= STEP for before, after in pairwise(row))
        if 2 * steps < len(row) - 1:
            return
    backings = music.melody.backings
    upper = [backings[pair[0]].names[pair[2] % 12] for pair in row]
    lower = [backings[pair[1]].names[pair[3] % 12] for pair in row]
    ways = ("up", "down") if row[1][2] > row[0][2] else ("down", "up")
    said = f"contrary motion: {' '.join(upper)} {ways[0]}, {' '.join(lower)} {ways[1]}"
    data = {**({"voice": "both"} if music.bass else {}), "upper": upper, "lower": lower, "direction": ways[0]}
    notes = tuple(sorted(note for pair in row for note in pair[:2]))
    yield Device(KIND, stretch_of(music.melody.timeline.notes, notes[0], notes[-1]), notes, said, data, main=False)
