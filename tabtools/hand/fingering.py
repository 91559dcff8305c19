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
from tabtools.hand.moves import Moves, strings_between
from tabtools.hand.ways import time_class


def choose_grips(grasps: Sequence[Grasp], moves: Moves) -> int:
    """Choose the grip of every grasp; returns the cost of the whole."""
    if not grasps:
        return 0
    before = grasps[0]
    shape = before.find_shape(moves)
    values = shape.costs
    history = []
    for grasp in grasps[1:]:
        following = grasp.find_shape(moves)
        time = time_class(grasp.start - before.last)
        move = moves.move(shape, following, strings_between(before.presses, grasp.presses), time, grasp.ties)
        history.append((values, move))
        values = move.reach(values)
        before, shape = grasp, following
    total = value = min(values)
    chosen = values.index(value)
    grasps[-1].grip = shape.grips[chosen]
    for grasp, (values, move) in zip(reversed(grasps[:-1]), reversed(history), strict=True):
        chosen = list(map(add, values, move.column(chosen))).index(value)
        value = values[chosen]
        grasp.grip = grasp.shape.grips[chosen]
    return total
