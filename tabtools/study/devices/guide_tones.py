"""Guide tones: thirds and sevenths that lead by step through changing chords.

Found: under each of three or more chords one after another a stroke that is the chord's third or seventh, the first
under its chord, on a beat, or the last, where that lasts a count or longer, each a step from the one before or at its
pitch, and no more than eight counts after it; two at least of these moves are steps. Of all such strokes of a chord the
one is taken that goes on farthest.

`data`: `count` (of guide tones), `degrees` (of each over its chord, in either style), `line` (their names), `over`
(the symbols).

Example: C over Dm7, B over G7, Bb over C7 are "guide tones C B Bb: b7 of Dm7, 3 of G7 then b7 of C7".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import listed
from tabtools.study.music import Music

KIND = "guide tones"
FEWEST, FEWEST_STEPS = 3, 2
STEP = 2
FARTHEST = 8
"""Counts from one to the next."""


class Guide(NamedTuple):
    """A guide tone: its stroke, and the guide tones before it."""

    place: int
    before: Guide | None
    length: int
    steps: int

    @property
    def places(self) -> list[int]:
        return [*(self.before.places if self.before else ()), self.place]


def find(music: Music) -> Iterator[Device]:
    """Each line of guide tones, in order."""
    reached: list[Guide] = []
    for places in _under_each_chord(music):
        following = _led_on(music, reached, places)
        if reached and not any(guide.before for guide in following):
            yield from _told(music, reached)
        reached = following
    yield from _told(music, reached)


def _under_each_chord(music: Music) -> Iterator[range]:
    count = len(music.melody.strokes)
    borders = (0, *music.melody.chord_changes(0, count), count) if count else ()
    for first, stop in pairwise(borders):
        yield range(first, stop)


def _led_on(music: Music, reached: list[Guide], places: range) -> list[Guide]:
    """The guide tones under a chord, each behind the best way that leads to it by step."""
    melody = music.melody
    found: list[Guide] = []
    for place in dict.fromkeys((places[0], places[-1])):
        struck = melody.strokes[place]
        is_long = struck.release - struck.onset >= struck.beat
        is_heard = struck.is_on_beat if place == places[0] else is_long and struck.doubt is None and place == places[-1]
        if not is_heard or melody.single[place] is None or not _is_guide(struck.top % 12, melody.backing(place)):
            continue
        best = Guide(place, None, 1, 0)
        for guide in reached:
            before = melody.strokes[guide.place]
            far = abs(struck.top - before.top)
            is_near = far <= STEP and struck.onset - before.onset <= FARTHEST * struck.beat
            if is_near and (guide.length, guide.steps) >= (best.length, best.steps - (far > 0)):
                best = Guide(place, guide, guide.length + 1, guide.steps + (far > 0))
        found.append(best)
    return found


def _is_guide(pitch_class: int, backing: Backing) -> bool:
    if backing.root is None or pitch_class not in backing.core:
        return False
    return (pitch_class - backing.root) % 12 in (3, 4, 10, 11) and backing.has_seventh


def _told(music: Music, reached: list[Guide]) -> Iterator[Device]:
    best = max(reached, key=lambda guide: (guide.length, guide.steps), default=None)
    if best is not None and best.length >= FEWEST and best.steps >= FEWEST_STEPS:
        yield _device(music, best.places)


def _device(music: Music, places: list[int]) -> Device:
    backings = [music.melody.backing(place) for place in places]
    tones = [music.melody.strokes[place].top % 12 for place in places]
    line = [backing.names[tone] for backing, tone in zip(backings, tones, strict=True)]
    degrees = [backing.told[tone] for backing, tone in zip(backings, tones, strict=True)]
    over = [f"{degree} of {backing.place}" for degree, backing in zip(degrees, backings, strict=True)]
    said = f"guide tones {' '.join(line)}: {listed(over, last='then')}"
    data = {
        "count": len(places),
        "degrees": degrees,
        "line": line,
        "over": [backing.symbol for backing in backings],
    }
    return music.device(KIND, places[0], places[-1], said, data, main=False)
