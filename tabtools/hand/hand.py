"""The hand's analysis of a solo: a finger and a position for every note, and every shift between them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

from tabtools.hand.fingering import finger
from tabtools.hand.grasp import Grasp, Grasping
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
    """A timeline as the hands play it; `notes` runs parallel to the timeline's."""

    timeline: Timeline
    profile: HandProfile
    neck: Neck
    strings: tuple[String, ...]
    notes: tuple[Fingered, ...]
    grasps: tuple[Grasp, ...]

    @cached_property
    def shifts(self) -> tuple[Shift, ...]:
        """Every change of position with nothing held on to, in order."""
        found = []
        for before, after in zip(self.grasps, self.grasps[1:], strict=False):
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
    finger(grasping.grasps, _moves(neck, profile))
    return Hand(timeline, profile, neck, strings, _fingered(grasping, neck), tuple(grasping.grasps))


def _fingered(grasping: Grasping, neck: Neck) -> tuple[Fingered, ...]:
    reach: dict[int, tuple[int, float]] = {}
    for grasp in grasping.grasps:
        fingers, position = grasp.grip.fingers, grasp.grip.position
        highest = 0
        for press, finger_number in zip(grasp.presses, fingers, strict=True):
            if press.grasp is grasp:
                press.finger = finger_number
            if finger_number and press.fret > highest:
                highest = press.fret
        reach[id(grasp)] = position, neck.gap(position, highest) if highest > position else 0.0
    found = []
    for note, presses in zip(grasping.notes, grasping.pressed, strict=True):
        if not presses:
            found.append(_TAPPED if note.via == "t" else _OPEN if note.fret == 0 else _NONE)
            continue
        position, distance = reach[id(presses[0].grasp)]
        then = tuple([FINGER_NAMES[press.finger] for press in presses[1:]]) if len(presses) > 1 else ()
        found.append(Fingered(FINGER_NAMES[presses[0].finger], position, distance, then))
    return tuple(found)


_TAPPED, _OPEN, _NONE = Fingered(TAP), Fingered(OPEN), Fingered("")
