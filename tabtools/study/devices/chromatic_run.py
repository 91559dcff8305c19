"""Chromatic runs.

Found: four notes or more in one line, each a semitone above the one before, or each a semitone below it; as many as
there are; four alone come at equal times.

`data`: `direction` (`up`, `down`), `count` (of notes), `over` (symbols, None for no chord), `degrees` (a list of the
notes' degrees for each of them, in either style; empty without chord and key) and `claim`.

Example: C B Bb A over Dm7 is "chromatic run down over Dm7: b7 6 b6 5".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import groupby, pairwise

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import known, over
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Leg, Music

KIND = "chromatic run"
FEWEST = 4


def find(music: Music) -> Iterator[Proposal]:
    """Each chromatic run, in order."""
    for leg in music.legs:
        for start, end in chromatic_parts(leg):
            first, last = leg.line.first + start, leg.line.first + end
            if last - first + 1 == FEWEST and not _is_even(music, first, last):
                continue
            is_up = leg.line.pitches[end] > leg.line.pitches[start]
            bits = costs.NAMING[KIND] + costs.NOTE[KIND] * (last - first + 1)
            yield Proposal(KIND, first, last, bits, costs.NOTE[KIND], partial(_device, music, first, last, is_up))


def _is_even(music: Music, first: int, last: int) -> bool:
    """Whether these strokes come at equal times."""
    strokes = music.melody.strokes[first : last + 1]
    return len({after.onset - before.onset for before, after in pairwise(strokes)}) == 1


def _device(music: Music, first: int, last: int, is_up: bool) -> Device:
    direction = "up" if is_up else "down"
    places = range(first, last + 1)
    backings, degrees = [], []
    for backing, same in groupby(places, music.melody.backing):
        backings.append(backing)
        names = backing.told or backing.names
        degrees.append([names[music.melody.strokes[place].top % 12] for place in same])
    data = {
        "direction": direction,
        "count": len(places),
        "over": [backing.symbol for backing in backings],
        "degrees": known(backings, degrees),
        "claim": "chromatic",
    }
    return music.device(KIND, first, last, f"chromatic run {direction}{over(backings, degrees)}", data)


def chromatic_parts(leg: Leg) -> list[tuple[int, int]]:
    """The parts of a leg that move by semitones alone, as the places of their first and last note in the line."""
    parts = []
    pitches = leg.line.pitches
    start = leg.start
    for place in range(leg.start + 1, leg.end + 2):
        if place <= leg.end and abs(pitches[place] - pitches[place - 1]) == 1:
            continue
        if place - start >= FEWEST:
            parts.append((start, place - 1))
        start = place
    return parts
