"""One voice moves by step while the others stay: a line under a note that is held, or over one.

Found: four strokes or more of a phrase one after another, of as many notes each, two to four, of which all but one stay
at their pitch and are struck again; the one that moves goes by one or two semitones, or stays once in a while, over
three different pitches at least.

`data`: `line` (names of what moves, one struck again once), `stays` (the name of the highest note that stays), `where`
(of the line: `above`, `below`, `within`), `by_semitones`, `over` (symbols).

Example: E, D#, D and C# below a B that is struck with each are "E D# D C# under B, which stays, by semitones".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import groupby, pairwise

from tabtools.study.devices.device import Device
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.melody import Struck
from tabtools.study.music import Music
from tabtools.study.phrases import KnownStretch

KIND = "moving line"
FEWEST, FEWEST_PITCHES = 4, 3
STEP = 2
MOST_NOTES = 4
WORDS = {"below": "under", "above": "over", "within": "within"}


def find(music: Music) -> Iterator[Proposal]:
    """Each line that moves against what stays, in order."""
    for stretch in music.stretches if len(music.together) >= FEWEST else ():
        for first, last, voice in _rows(music, stretch):
            pitches = {music.melody.strokes[at].pitches[voice] for at in range(first, last + 1)}
            if last - first + 1 >= FEWEST and len(pitches) >= FEWEST_PITCHES:
                bits = costs.NAMING[KIND] + costs.NOTE[KIND] * (last - first + 1)
                tell = partial(_device, music, first, last, voice)
                yield Proposal(KIND, first, last, bits, costs.NOTE[KIND], tell)


def _rows(music: Music, stretch: KnownStretch) -> Iterator[tuple[int, int, int]]:
    """The longest rows in which one voice moves: first and last stroke, and which of the voices, from the top."""
    strokes = music.melody.strokes
    first, voice = stretch.first, -1
    for before, place in pairwise(range(stretch.first, stretch.last + 1)):
        moving = _moving(strokes[before], strokes[place])
        if moving is not None and (moving == -1 or voice in (-1, moving)):
            voice = max(voice, moving)
            continue
        if voice >= 0:
            yield first, before, voice
        first, voice = (before, moving) if moving is not None else (place, -1)
    if voice >= 0:
        yield first, stretch.last, voice


def _moving(before: Struck, here: Struck) -> int | None:
    """The one voice that moves by a step, from the top; -1 where none does, None where more than one or a leap."""
    if not 2 <= len(here.pitches) <= MOST_NOTES or len(before.pitches) != len(here.pitches):
        return None
    moves = [after - pitch for pitch, after in zip(before.pitches, here.pitches, strict=True)]
    moved = [voice for voice, move in enumerate(moves) if move]
    if not moved:
        return -1
    return moved[0] if len(moved) == 1 and abs(moves[moved[0]]) <= STEP else None


def _device(music: Music, first: int, last: int, voice: int) -> Device:
    strokes = music.melody.strokes[first : last + 1]
    pitches = [pitch for pitch, _ in groupby(struck.pitches[voice] for struck in strokes)]
    line = _names(music, first, last, voice)
    where = "above" if voice == 0 else "below" if voice == len(strokes[0].pitches) - 1 else "within"
    stays = music.melody.backing(first).names[strokes[0].pitches[1 if voice == 0 else 0] % 12]
    moves = [after - pitch for pitch, after in pairwise(pitches)]
    by_semitones = len(set(moves)) == 1 and abs(moves[0]) == 1
    held = f"{stays}, which stays" if len(strokes[0].pitches) == 2 else f"a chord that stays, {stays} on top"
    said = f"{' '.join(line)} {WORDS[where]} {held}{', by semitones' * by_semitones}"
    data = {
        "line": line,
        "stays": stays,
        "where": where,
        "by_semitones": by_semitones,
        "over": [backing.symbol for backing in music.backings(first, last)],
    }
    return music.device(KIND, first, last, said, data)


def _names(music: Music, first: int, last: int, voice: int) -> Sequence[str]:
    """What moves, one struck again once."""
    melody = music.melody
    places = range(first, last + 1)
    changes = [at for at in places if at == first or melody.strokes[at].pitches != melody.strokes[at - 1].pitches]
    return [melody.backing(at).names[melody.strokes[at].pitches[voice] % 12] for at in changes]
