"""Repeated cells: a figure of a few notes played again and again.

Found: in one phrase, a figure of two to twelve strokes (double stops and chords as they sound) that comes again at once
with the same pitches: a figure of two at least three times, a longer one at least twice. The figure is the shortest
that explains the stretch, and not one pitch alone. Where it can begin on a beat by leaving out fewer strokes than it
has, and still comes often enough, it begins there. What is left over at the end belongs to it where it is two strokes
or more of the figure; one stroke is where the line goes on.

A figure is against the beat where its notes are even, so many to a count, and it does not fill whole counts, nor do
several fill one: groups of five or seven in sixteenths, groups of three in eighths of a 4/4.

Under a doubtful count nothing is said of rhythm.

`data`: `size` (strokes in the figure), `times` (in full), `rest` (strokes of the one cut short, or 0), `degrees` (of
the figure's highest notes over the chord, in either style; none without chord and key), `stays` and `changes` (of
`pitches` and `rhythm`), `against` (notes to a count where it is against the beat, or 0).

Example: in 4/4, eighths A G E A G E A G over Am are "figure of three notes, twice, the third time only two of them,
three against two to a count: 1 b7 5 of Am".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.melody import Struck
from tabtools.study.music import Music
from tabtools.study.periods import Repeat, in_time, times_text

KIND = "repeated cell"
FEWEST_AT_SPEED = 3


def find(music: Music) -> Iterator[Proposal]:
    """Each repeated cell, in order of the strokes they begin with, the shorter figures first."""
    for repeat in music.cells:
        bits = costs.NAMING[KIND] + figure_bits(repeat)
        figure = frozenset(range(repeat.start, repeat.start + repeat.size))
        yield Proposal(KIND, repeat.start, repeat.end, bits, costs.FIRST_TIME, partial(_device, music, repeat), figure)


def figure_bits(repeat: Repeat) -> float:
    """What the notes of a figure cost the first time, and then again."""
    again = repeat.end + 1 - repeat.start - repeat.size
    return costs.FIRST_TIME * repeat.size + costs.AGAIN * again


def _device(music: Music, repeat: Repeat) -> Device:
    strokes = music.melody.strokes
    time = in_time(strokes[repeat.start : repeat.end + 1], repeat.size)
    backing = music.melody.backing(repeat.start)
    names = backing.told or backing.names
    figure = [names[struck.top % 12] for struck in strokes[repeat.start : repeat.start + repeat.size]]
    said = f"figure of {in_words(repeat.size)} notes, {times_text(repeat, time)}: {' '.join(figure)}"
    if backing.degrees:
        said += f" of {backing.place}"
    speed = _speed(strokes[repeat.start : repeat.start + 2 * repeat.size]) if repeat.times == 2 else 0
    said += ", the second time at double speed" * (speed > 0) + ", the second time at half the speed" * (speed < 0)
    data = {
        "size": repeat.size,
        "times": repeat.times,
        "rest": repeat.rest,
        "degrees": figure if backing.degrees else [],
        "stays": ["pitches", "rhythm"] if time.keeps_rhythm else ["pitches"],
        "changes": ["rhythm"] if time.keeps_rhythm is False else [],
        "against": time.against,
    }
    return music.device(KIND, repeat.start, repeat.end, said, data)


def _speed(strokes: Sequence[Struck]) -> int:
    """1 where a figure of three notes or more comes twice as fast the second time, -1 where half as fast."""
    size = len(strokes) // 2
    gaps = [after.onset - before.onset for before, after in pairwise(strokes)]
    if size < FEWEST_AT_SPEED or any(struck.doubt for struck in strokes):
        return 0
    both = list(zip(gaps[: size - 1], gaps[size:], strict=True))
    if all(before == 2 * after for before, after in both):
        return 1
    return -1 if all(2 * before == after for before, after in both) else 0
