"""Figures that move along the neck keep their fingers (common practice).

The fingering weighs each step for itself, and would go over from one way to hold a figure to another to save a shift.
So figures are looked for beforehand: single notes that come again at once some frets higher or lower, on the same
strings or on others. Their fingers are those of the figure alone, unless it cannot be played so in the time there is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from tabtools.hand.fingering import choose_grips
from tabtools.hand.grasp import Grasp, Grasping
from tabtools.hand.moves import Moves
from tabtools.hand.stance import DOUBTFUL, level_weight
from tabtools.hand.ties import Tie

SHORTEST, SHORTEST_SEQUENCE, LONGEST = 2, 3, 8
"""Notes of a figure; of two notes, up and down, there is too little to tell a sequence by."""
WIDEST = 4
"""Frets of a figure that lies under one hand; what moves to other strings and stays under one is not moved along."""
ONCE_MOVED = 4
"""So many notes make a figure when they come twice; fewer have to come three times."""


class MovedFigure(NamedTuple):
    """A figure that is moved: the first grasp and the one behind the last, the size in grasps, where a time begins.

    `is_sequence` says that its steps are not the same each time, as in a sequence through a scale.
    """

    start: int
    end: int
    size: int
    begins: int
    is_sequence: bool = False


class _FretStep(NamedTuple):
    """From a grasp to the next: strings, frets, and what ties them."""

    strings: int
    frets: int
    tie: Tie

    @property
    def contour(self) -> tuple[int, int, Tie]:
        """The step without its size."""
        return self.strings, (self.frets > 0) - (self.frets < 0), self.tie

    def is_like(self, other: _FretStep) -> bool:
        """Whether both are a step of the same kind through a scale: up or down, a fret more or less."""
        return self.contour == other.contour and abs(self.frets - other.frets) <= 1


_FretSteps = Sequence["_FretStep | None"]
"""From each grasp to the next, None where one of both holds several strings, or has a finger that is written."""


def keep_fingers_of_figures(grasping: Grasping, moves: Moves) -> None:
    """Ask for the same fingers wherever a figure is moved along the neck."""
    for figure in sorted(figures_of(grasping.grasps), reverse=True):
        _lead(grasping.grasps, _parted(grasping, figure) if figure.is_sequence else figure, moves)


def _parted(grasping: Grasping, figure: MovedFigure) -> MovedFigure:
    """A sequence with the note that ends one time and begins the next given to both."""
    start, end, size, begins, _ = figure
    grasps = grasping.grasps
    joints = grasps[start + size : end : size]
    if (end - start) % size == 1 and not grasps[end - 1].struck_again:
        joints.pop()
    is_joined = all(joint.again and joint.struck_again == 1 for joint in joints)
    if begins > start or grasps[start].struck_again or not is_joined:
        return figure
    for number in reversed(range(len(joints))):
        grasping.part(start + size * (number + 1))
    return figure._replace(end=end + len(joints), size=size + 1)


def figures_of(grasps: Sequence[Grasp]) -> Iterator[MovedFigure]:
    """The sequences, then the figures that are moved by the same steps, each in order, none within another."""
    steps = _steps(grasps)
    sequences = list(_found(grasps, steps, is_sequence=True))
    yield from sequences
    taken = {place for figure in sequences for place in range(figure.start, figure.end)}
    left = [None if place in taken or place + 1 in taken else step for place, step in enumerate(steps)]
    yield from _found(grasps, left, is_sequence=False)


def _found(grasps: Sequence[Grasp], steps: _FretSteps, is_sequence: bool) -> Iterator[MovedFigure]:
    """What is moved by the same steps, or by such as are alike."""
    shortest = SHORTEST_SEQUENCE if is_sequence else SHORTEST
    codes = [step and step.contour for step in steps] if is_sequence else steps
    seen: dict[object, int] = {}
    looked = [0] * (LONGEST + 1)
    free = 0
    for index, pair in enumerate(pairwise((None, *codes))):
        before = seen.get(pair, -LONGEST)
        seen[pair] = index
        step = steps[index]
        if shortest <= index - before <= LONGEST and step and before > free:
            start, size = before - 1, index - before
            while start > max(free, before - 1 - size) and _alike(
                steps[start - 1], steps[start - 1 + size], is_sequence
            ):
                start -= 1
            if start < looked[size]:
                continue
            end = start + size + 1 + _how_many_alike(steps, start, size, is_sequence)
            looked[size] = end - size
            figure = _figure(grasps, steps, MovedFigure(start, end, size, start, is_sequence))
            if figure is not None:
                yield figure
                free = end


def _steps(grasps: Sequence[Grasp]) -> list[_FretStep | None]:
    steps: list[_FretStep | None] = []
    press = None
    for grasp in grasps:
        following = grasp.presses[0] if len(grasp.presses) == 1 and not grasp.presses[0].declared else None
        if press is None or following is None:
            steps.append(None)
        else:
            steps.append(_FretStep(following.string - press.string, following.fret - press.fret, following.tie))
        press = following
    return steps[1:]


def _how_many_alike(steps: _FretSteps, start: int, size: int, is_sequence: bool) -> int:
    """How many steps from here on are like those so many later."""
    alike = 0
    while start + alike + size < len(steps) and _alike(steps[start + alike], steps[start + alike + size], is_sequence):
        alike += 1
    return alike


def _figure(grasps: Sequence[Grasp], steps: _FretSteps, found: MovedFigure) -> MovedFigure | None:
    """Notes that come again so far, if that makes them a figure; it begins with them, or where it lies closest."""
    start, end, size, _, is_sequence = found
    period = steps[start : start + size]
    first, again = grasps[start].presses[0], grasps[start + size].presses[0]
    if first.fret == again.fret or None in period or len(set(period)) == 1:
        return None
    if end - start < size + (size if size >= ONCE_MOVED and not is_sequence else 2 * size):
        return None
    is_elsewhere, is_under_one_hand = first.string != again.string, _span(grasps[start:end]) < WIDEST
    if is_elsewhere and (is_sequence or is_under_one_hand):
        return None
    if is_sequence and steps[start : end - size - 1] == steps[start + size : end - 1]:
        return None
    if is_sequence and (is_under_one_hand or len({step and step.contour for step in period}) == 1):
        return None
    spans = {late: _span(grasps[late : late + size]) for late in range(start, min(start + size, end - size + 1))}
    begins = start if spans[start] <= WIDEST else min(spans, key=lambda late: spans[late])
    return found._replace(begins=begins)


def _alike(one: _FretStep | None, other: _FretStep | None, is_sequence: bool) -> bool:
    if one is None or other is None:
        return False
    return one.is_like(other) if is_sequence else one == other


def _span(grasps: Sequence[Grasp]) -> int:
    frets = [grasp.presses[0].fret for grasp in grasps]
    return max(frets) - min(frets)


def _lead(grasps: Sequence[Grasp], figure: MovedFigure, moves: Moves) -> None:
    """Give every time the figure is played the fingers of its lowest time, or its own in a sequence, if the hand can
    follow."""
    start, end, size, begins, is_sequence = figure
    around = grasps[max(0, start - 1) : end + 1]
    hardest = choose_grips(around, moves) // level_weight(DOUBTFUL)
    times = range(begins, end - size + 1, size)
    if is_sequence:
        led = [finger for first in times for finger in _alone(grasps[first : first + size], moves)]
        led = [*led[size - (begins - start) : size], *led] if begins > start else led
        while len(led) < end - start:
            led.append(led[-size])
    else:
        lowest = min(times, key=lambda first: grasps[first].presses[0].fret)
        fingers = _alone(grasps[lowest : lowest + size], moves)
        led = [fingers[place % size] for place in range(start - lowest, end - lowest)]
    for grasp, finger in zip(grasps[start:end], led, strict=True):
        grasp.presses[0].led = finger
    if choose_grips(around, moves) // level_weight(DOUBTFUL) > hardest:
        for grasp in grasps[start:end]:
            grasp.presses[0].led = 0


def _alone(grasps: Sequence[Grasp], moves: Moves) -> list[int]:
    """The fingers of some grasps played by themselves."""
    choose_grips(grasps, moves)
    return [grasp.grip.fingers[0] for grasp in grasps]
