"""What the search for places keeps after a stroke: where the hand can be, what it costs, and the ways there."""

from __future__ import annotations

from collections.abc import Sequence
from operator import add
from typing import NamedTuple

from tabtools.hand.grip import Shape
from tabtools.hand.moves import Transition
from tabtools.placing.choices import Choice, Down
from tabtools.placing.strokes import Option

Held = tuple[Down, ...]
"""Fingers that are down."""
Opens = tuple[tuple[int, float], ...]
"""Open strings, each with the moment it ends."""

Key = tuple[tuple[Option, ...], Held, Opens, float, int]
"""What tells states apart."""


class State:
    """Where the hand can be after a stroke: `values` are the least costs so far, for each grip of its shape.

    `presses` are the fingers of the last grasp, in order of strings, `last` is when they were last struck; `opens` are
    the open strings that may still sound, `edges` the ways here.
    """

    __slots__ = ("edges", "key", "last", "least", "opens", "options", "presses", "shape", "values")

    def __init__(
        self,
        options: tuple[Option, ...],
        presses: Held,
        opens: Opens,
        last: float,
        shape: Shape | None,
    ):
        self.options = options
        self.presses = presses
        self.opens = opens
        self.last = last
        self.shape = shape
        self.key: Key = (options, presses, opens, last, shape.id if shape is not None else 0)
        self.values = [0]
        self.least = 0
        self.edges: list[Edge] = []

    def take(self, values: list[int], edge: Edge) -> None:
        """Take new values, and the edge that brought them."""
        self.values = values
        self.least = min(values)
        self.edges.append(edge)


class Edge(NamedTuple):
    """A way to a state: from another by a move, or with the same grip for so much a grip."""

    before: State
    move: Transition | None
    costs: Sequence[int]
    choice: Choice | None


def way_back(state: State) -> list[Choice]:
    """The choices that lead to a state."""
    chosen: list[Choice] = []
    grip = state.values.index(state.least)
    while state.edges:
        edge, grip = _edge_of(state, grip)
        if edge.choice is not None:
            chosen.append(edge.choice)
        state = edge.before
    return chosen[::-1]


def _edge_of(state: State, grip: int) -> tuple[Edge, int]:
    """The edge by which a grip has its value, and the grip that it comes from."""
    value = state.values[grip]
    for edge in state.edges:
        values = edge.before.values
        if edge.move is not None:
            sums = list(map(add, values, edge.move.column(grip)))
            least = min(sums)
            if least + edge.costs[0] == value:
                return edge, sums.index(least)
        elif state.shape is edge.before.shape:
            if values[grip] + edge.costs[grip] == value:
                return edge, grip
        elif state.shape is not None and edge.before.least + state.shape.costs[grip] + edge.costs[0] == value:
            return edge, values.index(edge.before.least)
    raise AssertionError("no way leads here")
