"""Approaches: a chord tone on a beat that is enclosed, or led to by semitones.

Found: in one line, before a chord tone (of the chord up to its seventh) that falls on a beat and is not in the line of
one scale step after another,

- an enclosure: a note a step above and one a step below it, in either order, at least one of the steps a semitone; or
  three notes, a step on one side, then two semitones and one semitone away on the other;
- two or three notes that climb, or fall, to it by semitones, the first of them reached by a leap or after a breath.

One of the notes that lead there at least lies outside the chord, and where it is outside the scale too this says more.
What is led to is its last note.

`data`: `by` (`enclosure`, `semitones`), `name` (of what is led to), `degree` (over its chord, in either style, None
without chord and key), `led` (names of what leads there), `over` (the symbol under what is led to).

Example: F D# E over Cmaj7, E on a beat, is "F and D# enclose E, 3 of Cmaj7".
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import listed
from tabtools.study.explaining import costs
from tabtools.study.explaining.proposal import Proposal
from tabtools.study.music import Line, Music
from tabtools.study.spelling import spelled_towards

KIND = "approach"
STEP, LEAP = 2, 3
ENCLOSURE, SEMITONES = "enclosure", "semitones"


def find(music: Music) -> Iterator[Proposal]:
    """Each approach, in order of what is led to."""
    strokes = music.melody.strokes
    for line in music.lines:
        for place in range(2, len(line.pitches)):
            goal = line.first + place
            if not strokes[goal].is_on_beat or line.pitches[place] % 12 not in music.melody.backing(goal).core:
                continue
            by, count = _led_by(line, place)
            if not count:
                continue
            first = goal - count
            foreign = [at for at in range(first, goal) if not _is_chord_tone(music, at)]
            if not foreign or (by == SEMITONES and len(foreign) < count):
                continue
            bits = costs.NAMING[KIND] + costs.NOTE[KIND] * (count + 1)
            yield Proposal(KIND, first, goal, bits, costs.NOTE[KIND], partial(_device, music, first, goal, by))


def _is_chord_tone(music: Music, place: int) -> bool:
    return music.melody.strokes[place].top % 12 in music.melody.backing(place).core


def _led_by(line: Line, place: int) -> tuple[str, int]:
    """How a note is led to, and by how many notes; none where it is not."""
    pitches, goal = line.pitches, line.pitches[place]
    away = [pitches[at] - goal for at in range(max(0, place - 3), place)]
    if len(away) == 3 and _is_three_note_enclosure(*away):
        return ENCLOSURE, 3
    one, two = away[-2:]
    if one * two < 0 and max(abs(one), abs(two)) <= STEP and abs(one) + abs(two) <= STEP + 1:
        return ENCLOSURE, 2
    for count in (3, 2):
        side = 1 if two > 0 else -1
        if place >= count and away[-count:] == [side * far for far in range(count, 0, -1)]:
            lead = pitches[place - count - 1] - pitches[place - count] if place > count else LEAP
            if abs(lead) >= LEAP or lead == 0:
                return SEMITONES, count
    return "", 0


def _is_three_note_enclosure(one: int, two: int, three: int) -> bool:
    side = 1 if one > 0 else -1
    return 1 <= side * one <= STEP and side * two == -STEP and side * three == -1


def _device(music: Music, first: int, goal: int, by: str) -> Device:
    melody = music.melody
    backing = melody.backing(goal)
    led = range(first, goal)
    pitch = melody.strokes[goal].top
    names = [spelled_towards(melody.backing(place), melody.strokes[place].top, pitch, backing) for place in led]
    target = backing.said(pitch % 12)
    if by == ENCLOSURE:
        said = f"{listed(names)} enclose {target}"
    else:
        way = "climb" if melody.strokes[first].top < pitch else "fall"
        said = f"approach by semitones: {listed(names)} {way} to {target}"
    data = {
        "by": by,
        "name": backing.names[pitch % 12],
        "degree": backing.told[pitch % 12] if backing.degrees else None,
        "led": names,
        "over": backing.symbol,
    }
    return music.device(KIND, first, goal, said, data)
