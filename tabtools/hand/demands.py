"""What a solo or a passage asks of the hands, in measured numbers.

No grade is made of them: notes a second, millimetres, milliseconds and semitones say it themselves.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations
from math import isfinite

from tabtools.hand.bends import Bent
from tabtools.hand.grasp import Grasp
from tabtools.hand.hand import Hand, Shift
from tabtools.hand.stance import THUMB
from tabtools.model.solo import Address

SUSTAINED_SECONDS = 4.0

CAUTION = (
    "The figures say what is played, not what you should play today. Warm up, begin slowly and with small stretches, "
    "rest often, and stop when it hurts."
)


@dataclass(frozen=True, slots=True)
class Rate:
    """Notes a second of one technique: the most in any second, and on average in any four; 0 where there are none."""

    technique: str
    top: float
    sustained: float


@dataclass(frozen=True, slots=True)
class WidestReach:
    """Two fingers down together, farthest apart along the neck, in millimetres; `doubtful` where a note is not
    certain, here and below."""

    at: Address
    mm: float
    fingers: tuple[int, int]
    frets: tuple[int, int]
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class FastestShift:
    """The shift that leaves least time for its way: millimetres from position to position, seconds there are, seconds
    it takes."""

    at: Address
    mm: float
    seconds: float
    needed: float
    positions: tuple[int, int]
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class WidestBend:
    """The widest bend in semitones, the stiffest among equals, with its travel in mm and its force in N.

    Both are None where no string bears it.
    """

    at: Address
    semitones: float
    travel_mm: float | None
    force: float | None
    string: int
    fret: int
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class Demands:
    """What a stretch of music asks of the hands; `positions` are frets of the first finger, in order.

    `left_out` is how many notes are not judged, as their places on the neck are not known yet.
    """

    seconds: float
    rates: tuple[Rate, ...]
    reach: WidestReach | None
    shift: FastestShift | None
    bend: WidestBend | None
    positions: tuple[int, ...]
    left_out: int


def demands_of(hand: Hand, notes: range | None = None) -> Demands:
    """The figures of a solo, or of the notes with these indices in its timeline."""
    timed = hand.timeline.notes
    within = range(len(timed)) if notes is None else notes
    grasps = [grasp for grasp in hand.grasps if grasp.struck.note in within]
    chosen = [timed[index] for index in within]
    reaches = [found for grasp in grasps if len(grasp.presses) > 1 and (found := grip_reach(hand, grasp))]
    slurs = [pair for pair in hand.composed if pair[0].struck.note in within]
    reaches += [found for pair in slurs if (found := slur_reach(hand, *pair))]
    shifts = [shift for shift in hand.shifts if shift.after.struck.note in within]
    bends = [bent for bent in hand.bends if bent.note in within]
    return Demands(
        max((note.end for note in chosen), default=0.0) - min((note.start for note in chosen), default=0.0),
        _rates(hand, notes),
        max(reaches, key=lambda one: one.mm, default=None),
        _fastest(hand, shifts),
        _widest_bend(hand, bends),
        tuple(sorted({grasp.grip.position for grasp in grasps})),
        sum(note.is_unplaced for note in chosen),
    )


def _rates(hand: Hand, within: range | None) -> tuple[Rate, ...]:
    pace = hand.pace
    every = (("picked", pace.picked), ("legato", pace.legato), ("tapped", pace.tapped), ("all", pace.all))
    chosen = ((name, events if within is None else events.among(within)) for name, events in every)
    return tuple(Rate(name, events.top(), events.top(SUSTAINED_SECONDS)) for name, events in chosen)


def grip_reach(hand: Hand, grasp: Grasp) -> WidestReach | None:
    """The widest reach among the fingers of a grip."""
    held = [
        (finger, press.fret)
        for finger, press in zip(grasp.grip.fingers, grasp.presses, strict=True)
        if 0 < finger < THUMB
    ]
    return _reach(hand, grasp, combinations(held, 2), hand.is_doubtful(grasp))


def slur_reach(hand: Hand, grasp: Grasp, before: Grasp | None) -> WidestReach | None:
    """The widest reach between the fingers of a slur; the thumb, round the neck, is not measured."""
    if before is None:
        return None
    pairs = (
        (
            (before.grip.fingers[index], before.presses[index].fret),
            (grasp.grip.fingers[following], grasp.presses[following].fret),
        )
        for _, index, following in grasp.ties
        if THUMB not in (before.grip.fingers[index], grasp.grip.fingers[following])
    )
    return _reach(hand, grasp, pairs, hand.is_doubtful(before, grasp))


def _reach(
    hand: Hand, grasp: Grasp, pairs: Iterable[tuple[tuple[int, int], tuple[int, int]]], doubtful: bool
) -> WidestReach | None:
    found = [
        (hand.neck.gap(one[1], other[1]), min(one, other), max(one, other))
        for one, other in pairs
        if one[0] and other[0] and one[0] != other[0] and one[1] != other[1]
    ]
    if not found:
        return None
    mm, low, high = max(found)
    address = hand.timeline.notes[grasp.struck.note].address
    return WidestReach(address, mm, (low[0], high[0]), (low[1], high[1]), doubtful)


def _fastest(hand: Hand, shifts: list[Shift]) -> FastestShift | None:
    if not shifts:
        return None
    one = max(shifts, key=lambda shift: shift.needed / max(shift.seconds, 1e-6))
    address = hand.timeline.notes[one.after.struck.note].address
    positions = one.from_position, one.to_position
    return FastestShift(address, one.mm, one.seconds, one.needed, positions, hand.is_doubtful(one.before, one.after))


def _widest_bend(hand: Hand, bends: list[Bent]) -> WidestBend | None:
    if not bends:
        return None
    one = max(bends, key=lambda bent: (bent.semitones, bent.bend.force))
    note = hand.timeline.notes[one.note]
    bears = isfinite(one.bend.force)
    travel, force = (one.bend.travel_mm, one.bend.force) if bears else (None, None)
    return WidestBend(note.address, one.semitones, travel, force, one.string, one.fret, note.note.unsure)
