"""Octave displacement: a line that goes on by step, but in another octave.

Found: in one line, five notes or more that would go up, or down, by one to three semitones at a time if each leap of
nine to fifteen semitones led to the tone an octave nearer; one such leap at least, and no leap of an octave.

`data`: `scale` (its full name, None where the notes do not show one), `direction` (`up`, `down`: of the steps), `count`
(of notes), `displaced` (how many leaps), `over` (symbols, None for no chord).

Example: C5 B4 A5 G5 F5 E5 over Dm7 is "line down in D dorian over Dm7, six notes, with octave displacement, A an
octave higher".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words, listed, often
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import WIDEST_STEP, Line, Music
from tabtools.study.scale_names import NamedScale, named_scale

KIND = "octave displacement"
FEWEST = 5
NARROWEST, WIDEST = 9, 15
OCTAVE = 12


def find(music: Music) -> Iterator[Proposal]:
    """Each such line, in order."""
    for line in music.lines:
        moves = [after - before for before, after in pairwise(line.pitches)]
        if not any(NARROWEST <= abs(move) <= WIDEST and abs(move) != OCTAVE for move in moves):
            continue
        steps = [_as_step(move) for move in moves]
        start = 0
        for place, step in enumerate((*steps, 0)):
            if step and (place == start or (step > 0) == (steps[place - 1] > 0)):
                continue
            if place - start + 1 >= FEWEST:
                yield from _proposals(music, line, moves, start, place)
            start = place if step else place + 1


def _as_step(move: int) -> int:
    """The step that a move is, or would be in another octave; 0 where it is none."""
    if 1 <= abs(move) <= WIDEST_STEP:
        return move
    if NARROWEST <= abs(move) <= WIDEST and abs(move) != OCTAVE:
        return move - OCTAVE if move > 0 else move + OCTAVE
    return 0


def _proposals(music: Music, line: Line, moves: list[int], start: int, end: int) -> Iterator[Proposal]:
    leaps = [place + 1 for place in range(start, end) if abs(moves[place]) > WIDEST_STEP]
    if not leaps:
        return
    first, last = line.first + start, line.first + end
    found = named_scale(line.pitches[start : end + 1], music.backings(first, last))
    if found is None:
        return
    bits = costs.NAMING[KIND] + found.bits + costs.NOTE[KIND] * (last - first + 1) + costs.DISPLACED * len(leaps)
    tell = partial(_device, music, line, start, end, leaps, found)
    yield Proposal(KIND, first, last, bits, costs.NOTE[KIND], tell)


def _device(music: Music, line: Line, start: int, end: int, leaps: list[int], found: NamedScale) -> Device:
    first, last = line.first + start, line.first + end
    backings = music.backings(first, last)
    is_up = _as_step(line.pitches[start + 1] - line.pitches[start]) > 0
    direction = "up" if is_up else "down"
    said = f"line {direction}" + (f" in {found.name}" if found.name else "")
    chords = [backing.symbol for backing in backings]
    if any(chords):
        said += f" over {listed([chord or 'no chord' for chord in chords])}"
    names = [music.melody.backing(line.first + place).names[line.pitches[place] % 12] for place in leaps]
    said += f", {in_words(end - start + 1)} notes, with octave displacement"
    if len(leaps) == 1:
        side = "higher" if line.pitches[leaps[0]] > line.pitches[leaps[0] - 1] else "lower"
        said += f", {names[0]} an octave {side}"
    else:
        said += f", {often(len(leaps))}"
    data = {
        "scale": found.name if found.is_shown else None,
        "direction": direction,
        "count": end - start + 1,
        "displaced": len(leaps),
        "over": chords,
    }
    return music.device(KIND, first, last, said, data)
