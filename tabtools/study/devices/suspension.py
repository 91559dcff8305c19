"""Suspensions: a note of the chord before is heard over the new one, and gives way to a step below.

Found, in a solo of two voices, above the bass: a note that is strange to the chord it stands over (or the fourth or
second that its symbol names), struck on a count, and within a bar, before it is struck again, a tone of the chord a
step below it, over the same chord or another on its root. The same pitch comes from the chord before, among the last
eight strokes, and is struck again as the new chord begins, with nothing a step away between; a fourth or second that
the symbol names needs no such preparation.

`data`: `name` (`4-3`, `9-8`, `6-5`, `7-6`), `suspended` and `resolved` (names), `over` (the symbol).

Example: D, a tone of G, over A, where C# follows, is "4-3 suspension over A: D resolves to C#".
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music

KIND = "suspension"
STEP = 2
FARTHEST = 8
NAMES = {(4, 3): "4-3", (2, 1): "9-8", (6, 5): "6-5", (7, 6): "7-6"}


class Suspended(NamedTuple):
    """A suspended note and the note it gives way to: indices, pitches, and the chord that it rests in."""

    note: int
    goal: int
    pitch: int
    resolved: int
    name: str
    backing: Backing


def find(music: Music) -> Iterator[Device]:
    """Each suspension, in order."""
    for one in suspensions(music):
        suspended = music.melody.backings[one.note].names[one.pitch % 12]
        resolved = one.backing.names[one.resolved % 12]
        said = f"{one.name} suspension over {one.backing.place}: {suspended} resolves to {resolved}"
        data = {"name": one.name, "suspended": suspended, "resolved": resolved, "over": one.backing.symbol}
        where = stretch_of(music.melody.timeline.notes, one.note, one.goal)
        notes = tuple(sorted((one.note, one.goal)))
        yield Device(KIND, where, notes, said, {"voice": "melody", **data}, main=False)


def suspensions(music: Music) -> Iterator[Suspended]:
    """Each suspended note with its resolution."""
    if not music.bass:
        return
    upper = music.upper_voice
    strokes, backing = upper.melody.strokes, upper.melody.backing
    for stretch in upper.stretches:
        for place in range(stretch.first, stretch.last):
            for at, pitch in enumerate(strokes[place].pitches):
                goal = _goal(upper, place, stretch.last, pitch)
                name = _name(upper, place, goal, pitch) if goal else ""
                if goal and name and _is_prepared(upper, place, stretch.first, pitch):
                    step, below = goal
                    struck = strokes[step]
                    note = struck.notes[struck.pitches.index(below)]
                    yield Suspended(strokes[place].notes[at], note, pitch, below, name, backing(step))


def _goal(upper: Music, place: int, last: int, pitch: int) -> tuple[int, int] | None:
    """The stroke and the pitch of the next note a step below, where it comes within a bar and before the note again."""
    strokes = upper.melody.strokes
    bar = strokes[place].bar
    end = strokes[place].onset + strokes[place].beat * bar.meter.counts
    for step in range(place + 1, last + 1):
        if strokes[step].onset > end:
            return None
        below = [other for other in strokes[step].pitches if 1 <= pitch - other <= STEP]
        if pitch in strokes[step].pitches:
            return None
        if below:
            return step, below[0]
    return None


def _name(upper: Music, place: int, goal: tuple[int, int], pitch: int) -> str:
    """`4-3`; empty where it is no suspension."""
    step, below = goal
    here, there = upper.melody.backing(place), upper.melody.backing(step)
    if here.root is None or here.root != there.root or there.tones[below % 12] != "chord tone":
        return ""
    is_named = _is_named(here, pitch)
    if not is_named and here.tones[pitch % 12] in ("chord tone", "extension"):
        return ""
    if is_named and here is there:
        return ""
    if not upper.melody.strokes[place].is_on_beat and not is_named:
        return ""
    degrees = int(there.degrees[pitch % 12][-1]), int(there.degrees[below % 12][-1])
    return NAMES.get(degrees, "")


def _is_named(backing: Backing, pitch: int) -> bool:
    """Whether a symbol asks for this fourth or second in the place of its third."""
    has_third = (
        any((backing.root + third) % 12 in backing.core for third in (3, 4)) if backing.root is not None else True
    )
    return not has_third and backing.tones[pitch % 12] == "chord tone" and backing.degrees[pitch % 12] in ("4", "2")


def _is_prepared(upper: Music, place: int, first: int, pitch: int) -> bool:
    """Whether the pitch is a tone of the chord before, and struck again first of all over the new one."""
    backing, strokes = upper.melody.backing(place), upper.melody.strokes
    if _is_named(backing, pitch):
        return True
    if place > first and upper.melody.backing(place - 1) is backing:
        return False
    for before in range(place - 1, max(first, place - FARTHEST) - 1, -1):
        earlier = upper.melody.backing(before)
        if pitch in strokes[before].pitches:
            return earlier is not backing and pitch % 12 in earlier.core
        if any(abs(other - pitch) <= STEP for other in strokes[before].pitches):
            return False
    return False
