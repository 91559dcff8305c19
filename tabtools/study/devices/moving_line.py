"""One voice moves by step while the others stay: a line under a note that is held, or over one.

Found: four strokes or more of a phrase one after another, of as many notes each, two to four, of which all but one stay
at their pitch and are struck again; the one that moves goes by one or two semitones, or stays once in a while, over
three different pitches at least.

`data`: `line` (names of what moves, one struck again once), `stays` (the name of the highest note that stays), `where`
(of the line: `above`, `below`, `within`), `by_semitones`, `turnaround`, `over`
(symbols).

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
CHORUS = 12
"""Bars of a blues."""
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
        for first, last, goes in _between(music, stretch):
            if any(len(struck.pitches) == 1 for struck in music.melody.strokes[first : last + 1]):
                bits = costs.NAMING[KIND] + costs.NOTE[KIND] * (last - first + 1)
                tell = partial(_device_between, music, first, last, goes)
                yield Proposal(KIND, first, last, bits, costs.NOTE[KIND], tell)


def _between(music: Music, stretch: KnownStretch) -> Iterator[tuple[int, int, tuple[int, ...]]]:
    """The longest rows of strokes of one note that stays, on top, and of a line that goes down or up below it.

    Both are struck together or one after the other; each row comes with the pitches of its line.
    """
    strokes = music.melody.strokes
    place = stretch.first
    while place <= stretch.last:
        first, top, line = place, strokes[place].top, list(strokes[place].pitches[1:])
        place += 1
        if len(line) != 1 or strokes[first].has_unknown:
            continue
        while place <= stretch.last:
            own = [pitch for pitch in strokes[place].pitches if pitch != top]
            if len(own) > 1 or (own and not _steps_on(line, own[0], top)):
                break
            line += [one for one in own if one != line[-1]]
            place += 1
        if len(line) >= FEWEST:
            yield first, place - 1, tuple(line)


def _steps_on(line: Sequence[int], pitch: int, top: int) -> bool:
    """Whether a line goes on to a pitch, or stays there, one way and below what stays."""
    step = pitch - line[-1]
    is_one_way = len(line) == 1 or step == 0 or (step > 0) == (line[-1] > line[-2])
    return abs(step) <= STEP and is_one_way and pitch < top


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
    return _told(music, (first, last), line, stays, f"{WORDS[where]} {held}", by_semitones)


def _device_between(music: Music, first: int, last: int, pitches: Sequence[int]) -> Device:
    backing = music.melody.backing(first)
    line = [backing.names[pitch % 12] for pitch in pitches]
    stays = backing.names[music.melody.strokes[first].top % 12]
    by_semitones = abs(pitches[-1] - pitches[0]) == len(pitches) - 1
    return _told(music, (first, last), line, stays, f"under {stays}, which stays", by_semitones)


def _told(
    music: Music, span: tuple[int, int], line: Sequence[str], stays: str, held: str, by_semitones: bool
) -> Device:
    is_turnaround = by_semitones and _turns_around(music, *span)
    said = f"{'turnaround: ' * is_turnaround}{' '.join(line)} {held}{', by semitones' * by_semitones}"
    data = {
        "line": list(line),
        "stays": stays,
        "where": next(where for where, word in WORDS.items() if held.startswith(word)),
        "by_semitones": by_semitones,
        "turnaround": is_turnaround,
        "over": [backing.symbol for backing in music.backings(*span)],
    }
    return music.device(KIND, *span, said, data)


def _turns_around(music: Music, first: int, last: int) -> bool:
    """Whether it begins in the last two bars of the solo, or of twelve, over a seventh chord on the keynote."""
    bars, backing = music.melody.timeline.bars, music.melody.backing(first)
    begins = music.melody.strokes[first].bar
    key = music.melody.timeline.solo.header.key
    bar = next(place for place, one in enumerate(bars) if one is begins)
    if key is None or backing.root != key.tonic.pitch_class or not backing.has_seventh:
        return False
    return bar >= len(bars) - 2 or bar % CHORUS >= CHORUS - 2


def _names(music: Music, first: int, last: int, voice: int) -> Sequence[str]:
    """What moves, one struck again once."""
    melody = music.melody
    places = range(first, last + 1)
    changes = [at for at in places if at == first or melody.strokes[at].pitches != melody.strokes[at - 1].pitches]
    return [melody.backing(at).names[melody.strokes[at].pitches[voice] % 12] for at in changes]
