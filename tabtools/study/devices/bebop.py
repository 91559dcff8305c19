"""Bebop scales, where they are what they were made for: the added tone passes off the beat, chord tones keep the beats.

Over a dominant seventh chord the added tone is the major seventh, over a major chord the flat sixth, over a minor
seventh chord the major third.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from tabtools.harmony.scales import scale_named
from tabtools.study.backing import Backing
from tabtools.study.explaining import costs
from tabtools.study.music import Music
from tabtools.study.palette import scale_name
from tabtools.study.scale_names import NamedScale

FEWEST_ON_BEATS = 2
SIXTH = 9


class Bebop(NamedTuple):
    """A bebop scale on the root of a chord, and the pitch class that passes."""

    scale: NamedScale
    added: int


def bebop(music: Music, first: int, pitches: Sequence[int]) -> Bebop | None:
    """The bebop scale of a run that begins with the stroke `first`; None where it is none."""
    melody = music.melody
    places = range(first, first + len(pitches))
    backings = music.backings(places[0], places[-1])
    if len(backings) > 1 or (kind := _kind(backings[0])) is None:
        return None
    backing, root = backings[0], backings[0].root or 0
    name, step = kind
    tones, added = scale_named(name).pitch_classes(root), (root + step) % 12
    passing = [at for at, pitch in enumerate(pitches) if pitch % 12 == added]
    on_beat = [at for at, place in enumerate(places) if melody.on_beat[place]]
    own = backing.core | ({(root + SIXTH) % 12} if name == "bebop major" else set())
    is_one = (
        bool(passing)
        and len(on_beat) >= FEWEST_ON_BEATS
        and {pitch % 12 for pitch in pitches} <= tones
        and all(pitches[at] % 12 in own for at in on_beat)
        and all(_passes(pitches, at) and at not in on_beat for at in passing)
    )
    if not is_one:
        return None
    return Bebop(NamedScale(scale_name((root, name), backing), True, costs.OWN_SCALE, tones), added)


def _passes(pitches: Sequence[int], at: int) -> bool:
    return 0 < at < len(pitches) - 1 and abs(pitches[at + 1] - pitches[at - 1]) == 2


@lru_cache(maxsize=1024)
def _kind(backing: Backing) -> tuple[str, int] | None:
    """The scale over a chord, and how far above its root the added tone lies."""
    if backing.root is None:
        return None
    core = {(tone - backing.root) % 12 for tone in backing.core}
    if {4, 10} <= core:
        return "bebop dominant", 11
    if {3, 10} <= core:
        return "bebop minor", 4
    return ("bebop major", 8) if {4, 7} <= core else None
