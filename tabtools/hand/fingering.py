"""The best fingering of a run of grasps, by dynamic programming over the grips of each.

Exact within its model and linear in the number of grasps: the hardest move is made as easy as can be, then
the number of moves as hard, then the next level, and last the sum of all costs (after the optimum-path model
of Sayegh, Computer Music Journal 13(3), 1989, with the hardest move first as in Hori & Sagayama 2016).
Levels of strain are part of the cost, each of more weight than any sum of lesser ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from operator import add

from tabtools.hand.grasp import Grasp
from tabtools.hand.moves import Columns, Moves


def finger(grasps: Sequence[Grasp], moves: Moves) -> int:
    """Choose the grip of every grasp; returns the cost of the whole."""
    if not grasps:
        return 0
    before = grasps[0]
    shape = before.find_shape(moves)
    values = shape.costs
    history: list[tuple[list[int], Columns]] = []
    for grasp in grasps[1:]:
        following = grasp.find_shape(moves)
        strings = 0
        if len(grasp.presses) == 1 == len(before.presses):
            strings = max(-2, min(2, grasp.presses[0].string - before.presses[0].string))
        columns = moves.columns(shape, following, strings, grasp.start - before.last, grasp.ties)
        history.append((values, columns))
        values = [min(map(add, values, column)) for column in columns]
        before, shape = grasp, following
    total = value = min(values)
    chosen = values.index(value)
    for number in range(len(grasps) - 1, -1, -1):
        grasp = grasps[number]
        grasp.grip = grasp.shape.grips[chosen]
        if number:
            values, columns = history[number - 1]
            column = columns[chosen]
            chosen = next(index for index, one in enumerate(values) if one + column[index] == value)
            value = values[chosen]
    return total
