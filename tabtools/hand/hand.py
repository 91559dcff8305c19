"""The hand's analysis of a solo: a finger and a position for every note, and every shift between them."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple

from tabtools.hand.bends import Bent, bends_of
from tabtools.hand.broken import hold_broken_chords
from tabtools.hand.figures import keep_fingers_of_figures
from tabtools.hand.fingering import choose_grips
from tabtools.hand.grasp import Grasp, Grasping, Press
from tabtools.hand.grip import FINGER_NAMES
from tabtools.hand.moves import Moves
from tabtools.hand.neck import Neck, neck_of
from tabtools.hand.pace import Pace
from tabtools.hand.profile import DEFAULT_PROFILE, HandProfile, profile_for
from tabtools.hand.string import String, strings_of
from tabtools.hand.ties import is_bound
from tabtools.hand.ways import farthest_travel, needed_seconds
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
    """The hand moves between two grasps, from position to position.

    `mm` is the way from one to the other along the neck, `seconds` the time from the last stroke before to the first
    after, `needed` what Fitts' law asks for the finger that has the longest way beyond its reach (see `ways.travel`).
    """

    before: Grasp
    after: Grasp
    from_position: int
    to_position: int
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
            self._fingered(presses) if presses else _TAPPED if note.via == "t" else _OPEN if note.fret == 0 else _NONE
            for note, presses in zip(self.timeline.notes, self.pressed, strict=True)
        )

    def _fingered(self, presses: tuple[Press, ...]) -> Fingered:
        grasp = presses[0].grasp
        fingers, position = grasp.grip.fingers, grasp.grip.position
        highest = max((press.fret for press, one in zip(grasp.presses, fingers, strict=True) if one), default=position)
        reach = self.neck.gap(position, highest) if highest > position else 0.0
        names = [FINGER_NAMES[press.finger] for press in presses]
        return Fingered(names[0], position, reach, tuple(names[1:]))

    def is_doubtful(self, *grasps: Grasp | None) -> bool:
        """Whether one of the notes that are held is not certain."""
        notes = self.timeline.notes
        return any(notes[press.note].note.unsure for grasp in grasps if grasp for press in grasp.presses)

    @cached_property
    def composed(self) -> tuple[tuple[Grasp, Grasp | None], ...]:
        """Each grasp of several places, or tied to what was held before, with the grasp before it."""
        return tuple(
            (grasp, before)
            for before, grasp in zip((None, *self.grasps), self.grasps, strict=False)
            if grasp.ties or len(grasp.presses) > 1
        )

    @cached_property
    def numbers(self) -> dict[int, int]:
        """The place of each grasp among `grasps`, by its id."""
        return {id(grasp): number for number, grasp in enumerate(self.grasps)}

    @cached_property
    def bends(self) -> tuple[Bent, ...]:
        """Every bend of a string from a fretted place."""
        return tuple(bends_of(self.timeline.notes, self.pressed, self.neck, self.strings))

    @cached_property
    def pace(self) -> Pace:
        """How fast the notes come, by technique."""
        return Pace(self.timeline)

    @property
    def moves(self) -> Moves:
        """The shapes and moves of this neck and this player."""
        return moves_of(self.neck, self.profile)

    @cached_property
    def shifts(self) -> tuple[Shift, ...]:
        """Every move of the hand along the neck with nothing held on to, in order.

        Under a doubtful count nobody knows how long it takes: such moves are left out.
        """
        found = []
        doubtful = [note.index for note in self.timeline.notes if note.line.doubtful]
        for before, after in pairwise(self.grasps):
            if doubtful and bisect_left(doubtful, before.struck.note) < bisect_right(doubtful, after.struck.note):
                continue
            positions = before.grip.position, after.grip.position
            if positions[0] == positions[1] or is_bound(after.ties, before.grip, after.grip):
                continue
            way = farthest_travel(self.neck, self.profile, before.grip.frets, after.grip.frets)
            if way:
                needed = needed_seconds(self.neck, self.profile, way, after.struck.fret)
                mm = self.neck.gap(*positions)
                found.append(Shift(before, after, *positions, mm, after.start - before.last, needed))
        return tuple(found)


@lru_cache(maxsize=8)
def moves_of(neck: Neck, profile: HandProfile) -> Moves:
    return Moves(neck, profile)


def hand_of(timeline: Timeline, profile: HandProfile = DEFAULT_PROFILE) -> Hand:
    """Finger a solo. The header's `hand` overrides the profile's size. Pure; never raises for readable solos."""
    header = timeline.solo.header
    profile = profile_for(header, profile)
    neck = neck_of(header.instrument)
    strings = strings_of(header.instrument)
    grasping = Grasping(timeline.notes, strings, neck.frets)
    moves = moves_of(neck, profile)
    keep_fingers_of_figures(grasping, moves)
    hold_broken_chords(grasping, moves)
    choose_grips(grasping.grasps, moves)
    return Hand(timeline, profile, neck, strings, grasping.grasps, grasping.pressed)


_TAPPED, _OPEN, _NONE = Fingered(TAP), Fingered(OPEN), Fingered("")
