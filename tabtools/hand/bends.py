"""The bends of a solo: how far the string travels, what force it takes, and how many fingers can help."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tabtools.hand.grasp import TIE_OF, Press
from tabtools.hand.neck import Neck
from tabtools.hand.profile import HandProfile, Limit
from tabtools.hand.string import Bend, String
from tabtools.timeline import TimedNote

HELPERS_SPAN = 2
"""The fingers on the two frets behind a bending finger lie beside it on the string (common practice)."""


class Bent(NamedTuple):
    """One bend: the index of its note, the place, how many semitones up, what it takes.

    `helpers` is how many fingers can push with the one on the fret, `room_mm` how far the string can go before
    it leaves the neck.
    """

    note: int
    string: int
    fret: int
    semitones: float
    bend: Bend
    helpers: int
    room_mm: float

    def limit(self, profile: HandProfile) -> Limit:
        """What such a bend may take."""
        limit = profile.bend_force if self.helpers else profile.lone_bend_force
        return limit.times(profile.scale)


def bends_of(
    notes: Sequence[TimedNote], pressed: Sequence[tuple[Press, ...]], neck: Neck, strings: Sequence[String]
) -> Iterator[Bent]:
    """Every bend upwards from a fretted place, once for each height it reaches."""
    for index, note in enumerate(notes):
        if note.via == "b" or note.motions:
            for press, fret in _heights(note, pressed[index]):
                semitones = float(fret) - press.fret
                if semitones > 0 and press.string <= len(strings):
                    bend = strings[press.string - 1].bend(press.fret, semitones)
                    room = neck.room(press.string, press.fret)
                    yield Bent(index, press.string, press.fret, semitones, bend, _helpers(press), room)


def _heights(note: TimedNote, presses: tuple[Press, ...]) -> Iterator[tuple[Press, float]]:
    if note.via == "b" and presses and note.named is not None:
        yield presses[0], float(note.named)
    taken = 0
    for motion in note.motions:
        if motion.fret is None:
            continue
        if motion.sign in ("b", "pb") and taken < len(presses):
            yield presses[taken], float(motion.fret)
        elif motion.sign in TIE_OF and taken + 1 < len(presses):
            taken += 1


def _helpers(press: Press) -> int:
    """Fingers behind the one that bends, on no other string."""
    finger = press.finger
    if not 2 <= finger <= 4:
        return 0
    grasp = press.grasp
    busy = {one for one, other in zip(grasp.grip.fingers, grasp.presses, strict=True) if other is not press}
    return sum(1 for helper in range(max(1, finger - HELPERS_SPAN), finger) if helper not in busy)
