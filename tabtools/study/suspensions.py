"""Suspended notes: a tone of the chord before is heard over the new one, and gives way to a step below.

A note is suspended (common practice, made exact) where it is strange to the chord it is heard over, or the fourth or
second that its symbol names, and within a bar, before it is struck again, a tone of that chord a step below it follows,
over the same chord or another on its root. It is a tone of the chord before, up to the seventh, and is

- struck again first of all over the new chord, on a count; its pitch is among the last eight strokes, with nothing a
  step away since; a fourth or second that the symbol names needs no such preparation; or
- held over: it sounds on into the new chord until the next stroke, which is what it gives way to. What steps down as
  the chord changes, ringing on or not, is never heard over it, and is none.

In one line what is struck again gives way at once too. Suspended notes are looked for in one line, or in all that
stands above a bass.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from tabtools.study.backing import Backing
from tabtools.study.melody import Melody, in_ticks
from tabtools.study.phrases import KnownStretch

STEP = 2
FARTHEST = 8
IN_TWO_VOICES = {
    5: {4: "4-3", 3: "4-3"},
    10: {9: "7-6", 8: "7-6"},
    11: {9: "7-6"},
    13: {12: "9-8"},
    14: {12: "9-8"},
}
"""The names of suspensions by the semitones over the lower voice, before and after."""
NAMES = {(4, 3): "4-3", (2, 1): "9-8", (6, 5): "6-5", (7, 6): "7-6"}


class Suspended(NamedTuple):
    """A suspended note and the note it gives way to: indices, pitches, and the chord that it rests in.

    `held_from` is the chord under which it was struck, None where it is struck again over the new one.
    """

    note: int
    goal: int
    pitch: int
    resolved: int
    name: str
    backing: Backing
    held_from: Backing | None = None


def suspended_in(melody: Melody, stretches: tuple[KnownStretch, ...], is_line: bool) -> Iterator[Suspended]:
    """Each suspended note, in order; `is_line` where the melody is all there is."""
    backings = melody.stroke_backings
    changes = set(melody.chord_changes(0, len(backings)))
    named = {id(backing) for backing in set(backings) if _has_named(backing)}
    for stretch in stretches:
        for place in range(stretch.first, stretch.last + 1):
            is_new = place in changes
            if not (is_new or place == stretch.first or (named and id(backings[place]) in named)):
                continue
            if is_new:
                yield from _held_over(melody, place)
            if place < stretch.last and backings[place].root is not None:
                yield from _struck_again(melody, stretch, place, is_line)


def _struck_again(melody: Melody, stretch: KnownStretch, place: int, is_line: bool) -> Iterator[Suspended]:
    struck = melody.strokes[place]
    for pitch, note in zip(struck.pitches, struck.notes, strict=True):
        goal = _goal(melody, struck.onset, place + 1, place + 1 if is_line else stretch.last, pitch)
        if goal is None or not _is_prepared(melody, place, stretch.first, pitch):
            continue
        here, there = melody.backing(place), melody.backing(goal[0])
        is_named = _is_named(here, pitch)
        if (struck.is_on_beat or is_named) and not (is_named and here is there):
            yield from _suspended(melody, note, pitch, goal, here)


def _held_over(melody: Melody, place: int) -> Iterator[Suspended]:
    """What sounds on into the chord whose first stroke this is, and is left by it."""
    before, here = melody.strokes[place - 1], melody.strokes[place]
    backing, earlier = melody.backing(place), melody.backing(place - 1)
    change = melody.coming_chords[place - 1]
    is_heard = change is not None and change[0] < here.onset
    if change is None or not is_heard or change[1] != backing.symbol or before.doubt or here.doubt or here.is_apart:
        return
    for pitch, note in zip(before.pitches, before.notes, strict=True):
        ends = in_ticks(melody.timeline.notes[note].ends, melody.per_quarter)
        if ends > change[0] and ends >= here.onset and pitch % 12 in earlier.core:
            goal = _goal(melody, change[0], place, place, pitch)
            if goal is not None:
                yield from _suspended(melody, note, pitch, goal, backing, earlier)


def _suspended(
    melody: Melody, note: int, pitch: int, goal: tuple[int, int], here: Backing, held_from: Backing | None = None
) -> Iterator[Suspended]:
    """The suspension of a pitch over a chord, where that has a name."""
    step, below = goal
    there, struck = melody.backing(step), melody.strokes[step]
    if here.root is None or here.root != there.root or there.tones[below % 12] != "chord tone":
        return
    if not _is_named(here, pitch) and here.tones[pitch % 12] in ("chord tone", "extension"):
        return
    degrees = int(there.degrees[pitch % 12][-1]), int(there.degrees[below % 12][-1])
    if degrees in NAMES:
        rests = struck.notes[struck.pitches.index(below)]
        yield Suspended(note, rests, pitch, below, NAMES[degrees], there, held_from)


def _goal(melody: Melody, begins: int, first: int, last: int, pitch: int) -> tuple[int, int] | None:
    """The stroke and the pitch of the next note a step below, within a bar from a moment, before the note again."""
    strokes = melody.strokes
    end = begins + strokes[first].beat * strokes[first].bar.meter.counts
    for step in range(first, last + 1):
        struck = strokes[step]
        if struck.onset > end or pitch in struck.pitches:
            return None
        below = [other for other in struck.pitches if 1 <= pitch - other <= STEP]
        if below:
            return step, below[0]
    return None


def _has_named(backing: Backing) -> bool:
    """Whether a symbol asks for a fourth or a second in the place of its third."""
    root, tones = backing.root, backing.tones
    if root is None or (root + 3) % 12 in backing.core or (root + 4) % 12 in backing.core:
        return False
    return "chord tone" in (tones[(root + 5) % 12], tones[(root + 2) % 12])


def _is_named(backing: Backing, pitch: int) -> bool:
    """Whether a symbol asks for this fourth or second."""
    is_asked_for = backing.tones[pitch % 12] == "chord tone" and backing.degrees[pitch % 12] in ("4", "2")
    return is_asked_for and _has_named(backing)


def _is_prepared(melody: Melody, place: int, first: int, pitch: int) -> bool:
    """Whether the pitch is a tone of the chord before, and struck again first of all over the new one."""
    backing, strokes = melody.backing(place), melody.strokes
    if _is_named(backing, pitch):
        return True
    if place > first and melody.backing(place - 1) is backing:
        return False
    for before in range(place - 1, max(first, place - FARTHEST) - 1, -1):
        earlier = melody.backing(before)
        if pitch in strokes[before].pitches:
            return earlier is not backing and pitch % 12 in earlier.core
        if any(abs(other - pitch) <= STEP for other in strokes[before].pitches):
            return False
    return False


class Chain(NamedTuple):
    """Suspensions of one name one after another in two voices struck together: the strokes, and the falling line."""

    first: int
    last: int
    name: str
    line: tuple[int, ...]


def chains_in(melody: Melody) -> Iterator[Chain]:
    """Two suspensions or more in a row: a note struck again over a lower voice that has moved by step gives way.

    What is suspended is a seventh, a fourth or a ninth over the lower voice, and falls by step, alone and without a
    silence, to a sixth, third or octave; there the next begins.
    """
    line: list[int] = []
    name = ""
    place = 1
    while place < len(melody.strokes) + 1:
        found = _in_two_voices(melody, place)
        if found and found == name and line[-1] == melody.strokes[place].top:
            line.append(melody.strokes[place + 1].top)
        else:
            if len(line) > 2:
                first = place - 2 * len(line) + 1
                yield Chain(first, place - 1, name, tuple(line))
            name = found
            line = [melody.strokes[at].top for at in (place, place + 1)] if found else []
        place += 2 if found else 1


def _in_two_voices(melody: Melody, place: int) -> str:
    """`7-6` where the stroke is a suspension over the lower voice, and the next what it gives way to."""
    if place + 1 >= len(melody.strokes) or len(melody.strokes[place].pitches) != 2:
        return ""
    before, here, after = melody.strokes[place - 1 : place + 2]
    if len(after.pitches) != 1 or here.release < after.onset:
        return ""
    if any(one.doubt or one.has_unknown or one.is_apart for one in (here, after)):
        return ""
    top, low = here.pitches
    is_prepared = before.top == top and (len(before.pitches) == 1 or 1 <= abs(before.pitches[-1] - low) <= STEP)
    if not is_prepared or not 1 <= top - after.top <= STEP:
        return ""
    return IN_TWO_VOICES.get(top - low, {}).get(after.top - low, "")
