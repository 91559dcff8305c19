"""Figures that move along the neck keep their fingers (common practice).

The fingering weighs each step for itself, and would go over from one way to hold a figure to another to save a shift.
So figures are looked for beforehand: single notes that come again at once some frets higher or lower, on the same
strings or on others. Their fingers are those of the figure alone, unless it cannot be played so in the time there is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tabtools.hand.fingering import choose_grips
from tabtools.hand.grasp import Grasp
from tabtools.hand.moves import Moves
from tabtools.hand.stance import DOUBTFUL, level_weight

SHORTEST, LONGEST = 2, 8
"""Notes of a figure."""
WIDEST = 4
"""Frets of a figure that lies under one hand; what moves to other strings and stays under one is not moved along."""
ONCE_MOVED = 4
"""So many notes make a figure when they come twice; fewer have to come three times."""
KNOWN, NO_STEP = 1 << 12, 0


class MovedFigure(NamedTuple):
    """A figure that is moved: the first grasp and the one behind the last, the size in grasps, where a time begins."""

    start: int
    end: int
    size: int
    begins: int


def keep_fingers_of_figures(grasps: Sequence[Grasp], moves: Moves) -> None:
    """Ask for the same fingers wherever a figure is moved along the neck."""
    for figure in figures_of(grasps):
        _lead(grasps, figure, moves)


def figures_of(grasps: Sequence[Grasp]) -> Iterator[MovedFigure]:
    """The figures that are moved, in order, none within another."""
    steps = _steps(grasps)
    seen: dict[int, int] = {}
    free = 0
    last = NO_STEP
    for index, step in enumerate(steps):
        code, last = last * 2 * KNOWN + step, step
        before = seen.get(code, -LONGEST)
        seen[code] = index
        if index - before <= LONGEST and step and before > free and index - before >= SHORTEST:
            figure = _figure(grasps, steps, before - 1, index - before)
            if figure is not None:
                yield figure
                free = figure.end


def _steps(grasps: Sequence[Grasp]) -> list[int]:
    """From each grasp to the next in one number: strings, frets, and what ties them; `NO_STEP` where one of both holds
    several strings, or has a finger that is written."""
    steps = []
    press = None
    for grasp in grasps:
        following = grasp.presses[0] if len(grasp.presses) == 1 and not grasp.presses[0].declared else None
        if press is None or following is None:
            steps.append(NO_STEP)
        else:
            strings, frets = following.string - press.string, following.fret - press.fret
            steps.append(KNOWN + (strings * 80 + frets) * 4 + following.tie)
        press = following
    return steps[1:]


def _figure(grasps: Sequence[Grasp], steps: Sequence[int], start: int, size: int) -> MovedFigure | None:
    """The figure of so many notes that is played again and again from here on; it begins here, or where it lies
    closest."""
    period = steps[start : start + size]
    first, again = grasps[start].presses[0], grasps[start + size].presses[0]
    is_moved = first.fret != again.fret
    if not is_moved or NO_STEP in period or len(set(period)) == 1:
        return None
    alike = 0
    while start + alike + size < len(steps) and steps[start + alike] == steps[start + alike + size]:
        alike += 1
    if alike < (size - 1 if size >= ONCE_MOVED else 2 * size - 1):
        return None
    end = start + alike + size + 1
    if first.string != again.string and _span(grasps[start:end]) < WIDEST:
        return None
    spans = {late: _span(grasps[late : late + size]) for late in range(start, min(start + size, end - size + 1))}
    begins = start if spans[start] <= WIDEST else min(spans, key=lambda late: spans[late])
    return MovedFigure(start, end, size, begins)


def _span(grasps: Sequence[Grasp]) -> int:
    frets = [grasp.presses[0].fret for grasp in grasps]
    return max(frets) - min(frets)


def _lead(grasps: Sequence[Grasp], figure: MovedFigure, moves: Moves) -> None:
    """Give every time the figure is played the fingers of its lowest time, if the hand can follow."""
    start, end, size, begins = figure
    lowest = min(range(begins, end - size + 1, size), key=lambda first: grasps[first].presses[0].fret)
    around = grasps[max(0, start - 1) : end + 1]
    hardest = choose_grips(around, moves) // level_weight(DOUBTFUL)
    choose_grips(grasps[lowest : lowest + size], moves)
    fingers = [grasp.grip.fingers[0] for grasp in grasps[lowest : lowest + size]]
    for place, grasp in enumerate(grasps[start:end], start - lowest):
        grasp.presses[0].led = fingers[place % size]
    if choose_grips(around, moves) // level_weight(DOUBTFUL) > hardest:
        for grasp in grasps[start:end]:
            grasp.presses[0].led = 0
