"""The hand's analysis of a solo: a finger and a position for every note, and every shift between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple

from tabtools.hand.fingering import choose_grips
from tabtools.hand.grasp import Grasp, Grasping, Press
from tabtools.hand.grip import FINGER_NAMES
from tabtools.hand.moves import Moves, needed_seconds
from tabtools.hand.neck import Neck, neck_of
from tabtools.hand.profile import DEFAULT_PROFILE, HandProfile, profile_for
from tabtools.hand.string import String, strings_of
from tabtools.timeline import Timeline

OPEN, TAP = "0", "tap"


class Fingered(NamedTuple):
    """How one note is fingered.

    `finger` is `1` to `4`, `T` (thumb), `0` (open string), `tap` (the other hand), or empty: a dead note, a
    place that is not on the neck, or no finger left. `position` is the fret of the first finger, `reach_mm`
    the distance along the neck from there to the farthest finger that is down. `then` are the fingers of the
    frets reached within the slot.
    """

    finger: str
    position: int | None = None
    reach_mm: float | None = None
    then: tuple[str, ...] = ()


class Shift(NamedTuple):
    """The hand moves between two grasps: from note to note (indices), fret to fret of the first finger.

    `seconds` is the time from the last stroke before to the first after, `needed` what Fitts' law asks.
    """

    before: int
    after: int
    from_fret: int
    to_fret: int
    mm: float
    seconds: float
    needed: float


@dataclass(frozen=True)
class Hand:
    """A timeline as the hands play it. `pressed` are the fingers put down by each note of the timeline."""

    timeline: Timeline
    profile: HandProfile
    neck: Neck
    strings: tuple[String, ...]
    grasps: Sequence[Grasp]
    pressed: Sequence[tuple[Press, ...]]

    @cached_property
    def notes(self) -> tuple[Fingered, ...]:
        """How each note of the timeline is fingered."""
        return tuple(
            self._fingered(presses) if presses else _TAPPED if note.via == "t" else _NONE if note.fret else _OPEN
            for note, presses in zip(self.timeline.notes, self.pressed, strict=True)
        )

    def _fingered(self, presses: tuple[Press, ...]) -> Fingered:
        grasp = presses[0].grasp
        fingers, position = grasp.grip.fingers, grasp.grip.position
        highest = max((press.fret for press, one in zip(grasp.presses, fingers, strict=True) if one), default=position)
        reach = self.neck.gap(position, highest) if highest > position else 0.0
        names = [FINGER_NAMES[press.finger] for press in presses]
        return Fingered(names[0], position, reach, tuple(names[1:]))

    @cached_property
    def shifts(self) -> tuple[Shift, ...]:
        """Every change of position with nothing held on to, in order."""
        found = []
        for before, after in pairwise(self.grasps):
            start, end = before.grip.position, after.grip.position
            if start != end and not after.ties:
                needed = needed_seconds(self.neck, self.profile, start, end)
                index = after.struck.note
                seconds = after.start - before.last
                found.append(Shift(before.struck.note, index, start, end, self.neck.gap(start, end), seconds, needed))
        return tuple(found)


@lru_cache(maxsize=8)
def _moves(neck: Neck, profile: HandProfile) -> Moves:
    return Moves(neck, profile)


def hand_of(timeline: Timeline, profile: HandProfile = DEFAULT_PROFILE) -> Hand:
    """Finger a solo. The header's `hand` overrides the profile's size. Pure; never raises for readable solos."""
    header = timeline.solo.header
    profile = profile_for(header, profile)
    neck = neck_of(header.instrument)
    strings = strings_of(header.instrument)
    grasping = Grasping(timeline.notes, strings, neck.frets)
    choose_grips(grasping.grasps, _moves(neck, profile))
    return Hand(timeline, profile, neck, strings, grasping.grasps, grasping.pressed)


_TAPPED, _OPEN, _NONE = Fingered(TAP), Fingered(OPEN), Fingered("")
