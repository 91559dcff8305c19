"""Pedal notes: one pitch that comes back regularly under, or over, notes that move.

Found: in one line, the same pitch at every second place at least four times, or at every third or fourth place at least
three times; all the notes between are above it, or all are below it, and they are not the same each time (that
is a repeated cell). The stretch goes from the first of them to the last, and to the moving notes behind it where
they are as many as between the others and on the same side.

Where every second note is the pedal and those between move one way by step, four or more, they are named; the note
before the first pedal note is one of them, where they go on from it.

`data`: `pitch` (a MIDI number), `name`, `degree` (over the chord it begins under, in either style, None without
chord and key), `times`, `every` (2, 3 or 4), `side` (of the moving notes: `above`, `below`), `over` (symbols).

Example: A C A B A D A over Am7 is "pedal note A, 1 of Am7, four times, every second note, the others above it".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Line, Music
from tabtools.study.periods import Taken

KIND = "pedal note"
FEWEST = {2: 4, 3: 3, 4: 3}
FEWEST_IN_LINE, STEP = 4, 2
WORDS = {2: "second", 3: "third", 4: "fourth"}


def find(music: Music) -> Iterator[Proposal]:
    """Each pedal note, line by line, those at every second place first; none within another."""
    for line in music.lines:
        if len(set(line.pitches)) == 1:
            continue
        taken = Taken(len(line.pitches))
        for every, fewest in FEWEST.items():
            for chain, times in _chains(line.pitches, every):
                if times < fewest:
                    continue
                for start, end in _one_sided(line.pitches, chain, chain + every * (times - 1), every):
                    if end - start < every * (fewest - 1) or taken.holds(start, end):
                        continue
                    side = _side(line.pitches, start, end, every)
                    if side:
                        taken.add(start, end)
                        yield _proposal(music, line, start, end, every, side)


def _chains(pitches: tuple[int, ...], every: int) -> Iterator[tuple[int, int]]:
    """Where a pitch comes back after so many places: the first place, and how often it sounds."""
    same = [pitch == later for pitch, later in zip(pitches, pitches[every:], strict=False)]
    for start, is_same in enumerate(same):
        if is_same and (start < every or not same[start - every]):
            at = start
            while at < len(same) and same[at]:
                at += every
            yield start, (at - start) // every + 1


def _one_sided(pitches: tuple[int, ...], start: int, end: int, every: int) -> Iterator[tuple[int, int]]:
    """The parts of a chain between which the moving notes change from above to below, or back, or are the pedal."""
    pedal, first = pitches[start], start
    sides = []
    for at in range(start, end, every):
        between = pitches[at + 1 : at + every]
        sides.append(1 if min(between) > pedal else -1 if max(between) < pedal else 0)
    for number, (side, following) in enumerate(zip(sides, [*sides[1:], None], strict=True)):
        if side != following:
            yield first, start + every * (number + 1)
            first = start + every * (number + 1)


def _side(pitches: tuple[int, ...], start: int, end: int, every: int) -> int:
    """1 where all notes between are above, -1 where all are below, 0 where they are neither or never change."""
    pedal = pitches[start]
    groups = [pitches[at + 1 : at + every] for at in range(start, end, every)]
    between = [pitch for group in groups for pitch in group]
    if len(set(groups)) == 1:
        return 0
    if min(between) > pedal:
        return 1
    return -1 if max(between) < pedal else 0


def _proposal(music: Music, line: Line, start: int, end: int, every: int, side: int) -> Proposal:
    pitches = line.pitches
    after = pitches[end + 1 : end + every]
    times = (end - start) // every + 1
    if len(after) == every - 1 and all((pitch - pitches[start]) * side > 0 for pitch in after):
        end += every - 1
    pedal = line.first + start
    if every == 2 and start > 0 and (pitches[start - 1] - pitches[start]) * side > 0 and _leads_in(pitches, start):
        start -= 1
    first, last = line.first + start, line.first + end
    moving = last - first + 1 - times
    bits = costs.NAMING[KIND] + costs.FIRST_TIME * (moving + 1) + costs.AGAIN * (times - 1)
    tell = partial(_device, music, pedal, (first, last), every, times, side)
    figure = frozenset(place for place in range(first, last + 1) if place == pedal or (place - pedal) % every)
    return Proposal(KIND, first, last, bits, costs.FIRST_TIME, tell, figure)


def _leads_in(pitches: tuple[int, ...], start: int) -> bool:
    """Whether the note before the first pedal note begins the line that moves on by step between them."""
    lead, one, two = pitches[start - 1], pitches[start + 1], pitches[start + 3]
    return (one - lead) * (two - one) > 0 and max(abs(one - lead), abs(two - one)) <= STEP


def _device(music: Music, place: int, span: tuple[int, int], every: int, times: int, side: int) -> Device:
    first, last = span
    backing = music.melody.backing(place)
    pedal = music.melody.strokes[place].top
    where = "above" if side > 0 else "below"
    often = f"{in_words(times)} times, every {WORDS[every]} note"
    line = _line(music, first, last, pedal) if every == 2 else ""
    said = f"pedal note {backing.said(pedal % 12)}, {often}, {line or 'the others'} {where} it"
    data = {
        "pitch": pedal,
        "name": backing.names[pedal % 12],
        "degree": backing.told[pedal % 12] if backing.degrees else None,
        "times": times,
        "every": every,
        "side": where,
        "over": [found.symbol for found in music.backings(first, last)],
    }
    return music.device(KIND, first, last, said, data)


def _line(music: Music, first: int, last: int, pedal: int) -> str:
    """`D C# C B`: what moves one way by step, at least four notes; empty where it does not."""
    melody = music.melody
    moving = [at for at in range(first, last + 1) if melody.strokes[at].top != pedal]
    moves = [melody.strokes[after].top - melody.strokes[at].top for at, after in pairwise(moving)]
    is_line = len(moving) >= FEWEST_IN_LINE and all(move * moves[0] > 0 and abs(move) <= STEP for move in moves)
    return " ".join(melody.backing(at).names[melody.strokes[at].top % 12] for at in moving) if is_line else ""
