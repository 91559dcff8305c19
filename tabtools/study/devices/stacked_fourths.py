"""Stacks of fourths.

Found: in one line, four notes or more, from a count on three, of which each is a fourth above the one before, or each a
fourth below it; one of the fourths may be a tritone, the others are perfect. None is a goal that is bent to.

`data`: `direction` (`rising`, `falling`), `count` (of the notes, one more than of the fourths), `over` (symbols, None
for no chord), `degrees` (of the notes over the chord they begin under, ninths and higher by their names; empty without
chord and key).

Example: E A D over Cmaj7 is "stack of two fourths over Cmaj7: 3 13 9, rising".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words, over
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Line, Music

KIND = "stacked fourths"
FEWEST = 3
FOURTH, TRITONE = 5, 6


def find(music: Music) -> Iterator[Proposal]:
    """Each stack, in order."""
    for line in music.lines:
        moves = [after - before for before, after in pairwise(line.pitches)]
        start = 0
        while start < len(moves):
            end = _end(moves, start)
            if end - start + 1 >= FEWEST and _is_stack(music, line, moves, start, end):
                first, last = line.first + start, line.first + end
                bits = costs.NAMING[KIND] + costs.NOTE[KIND] * (last - first + 1)
                yield Proposal(KIND, first, last, bits, costs.NOTE[KIND], partial(_device, music, first, last))
            start = max(end, start + 1)


def _is_stack(music: Music, line: Line, moves: list[int], start: int, end: int) -> bool:
    """Whether fourths that lead from one place of a line to another, three notes or more, are a stack."""
    if end - start + 1 == FEWEST and not music.melody.on_beat[line.first + start]:
        return False
    if any(line.first + place in music.goals for place in range(start, end + 1)):
        return False
    return sum(abs(move) == FOURTH for move in moves[start:end]) > 1


def _end(moves: list[int], start: int) -> int:
    """The place of the last note of the fourths that begin here."""
    side = 1 if moves[start] > 0 else -1
    tritones, end = 0, start
    while end < len(moves) and side * moves[end] in (FOURTH, TRITONE):
        tritones += side * moves[end] == TRITONE
        if tritones > 1:
            break
        end += 1
    return end


def _device(music: Music, first: int, last: int) -> Device:
    strokes = music.melody.strokes
    backing = music.melody.backing(first)
    names = backing.extended or backing.names
    degrees = [names[strokes[place].top % 12] for place in range(first, last + 1)]
    direction = "rising" if strokes[last].top > strokes[first].top else "falling"
    data = {
        "direction": direction,
        "count": last - first + 1,
        "over": [found.symbol for found in music.backings(first, last)],
        "degrees": degrees if backing.degrees else [],
    }
    said = f"stack of {in_words(last - first)} fourths{over([backing], [degrees])}, {direction}"
    return music.device(KIND, first, last, said, data)
