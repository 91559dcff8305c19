"""What the search for places keeps after a stroke: where the hand can be, what it costs, and the ways there.

A state is worked out when it is asked for. Until then no more is known of it than what it costs at least.
"""

from __future__ import annotations

from collections.abc import Sequence
from operator import add, sub
from typing import NamedTuple

from tabtools.hand.grip import Shape, Stop
from tabtools.hand.moves import Transition
from tabtools.placing.choices import Choice, Down, FingersDown
from tabtools.placing.strokes import Option

Held = tuple[Down, ...]
"""Fingers that are down."""
Opens = tuple[tuple[int, float], ...]
"""Open strings, each with the moment it ends."""


class Several(NamedTuple):
    """Fingers on several strings, and the open strings that sound."""

    stops: tuple[Stop, ...]
    opens: tuple[int, ...]


Form = tuple[int, int, int] | Several | None
"""What the shape of the fingers depends on: fret, declared finger and force where it is one; None before the first."""

Key = tuple[tuple[Option, ...], Held, Opens, float, Form]
"""What tells states apart: all that what follows may depend on."""


class Before(NamedTuple):
    """A state as a stroke begins: the fingers and the open strings that still sound then, the time since the last."""

    state: State
    held: Held
    opens: Opens
    time: int


Way = tuple[int, int, int, int, Before, tuple[int, ...] | None]
"""A way to a state, as a bare tuple, for there are many: the least cost of the state before as it was known then, and
what the way adds at least; its number; what it adds at least; what of that choice and taste add; where it comes from;
by how much each finger bends more, where all of them stay, else None."""


class State:
    """Where the hand can be after a stroke, and `values`: the least costs so far, for each grip of its shape.

    `presses` are the fingers of the last grasp, in order of strings, `last` is when they were last struck or bent;
    `opens` are the open strings that may still sound. `choice` led here, `step` are the fingers that came down, in a
    stroke that began at `moment`.

    `bound` is what the state costs at least; once it is worked out (`is_known`), what it does cost. `floor` is what its
    grips cost at least, `likely` what they cost besides unless a string that rings is let go; `lowest` and `highest`
    are the positions that the hand can have. Of its `ways` the first so many are `taken`; `edges` are those that made
    some value less, and one that adds `most` or more makes none less.
    """

    __slots__ = (
        "bound",
        "choice",
        "edges",
        "floor",
        "highest",
        "is_known",
        "key",
        "last",
        "likely",
        "lowest",
        "moment",
        "most",
        "opens",
        "options",
        "presses",
        "shape",
        "step",
        "taken",
        "values",
        "ways",
    )

    def __init__(self, key: Key, moment: float, choice: Choice | None = None, step: FingersDown | None = None):
        self.options, self.presses, self.opens, self.last, _ = self.key = key
        self.moment = moment
        self.choice = choice
        self.step = step
        self.shape: Shape | None = None
        self.bound = self.floor = self.likely = self.most = self.taken = 0
        self.lowest = self.highest = 1
        self.is_known = False
        self.ways: list[Way] = []
        self.values: list[int] = []
        self.edges: list[Edge] = []

    @property
    def form(self) -> Form:
        """What the shape depends on."""
        return self.key[4]

    @classmethod
    def first(cls) -> State:
        """Before the first stroke."""
        state = cls(((), (), (), 0.0, None), 0.0)
        state.values, state.is_known = [0], True
        return state

    def take(self, values: list[int], edge: Edge) -> None:
        """Take what the state costs by an edge, where that is less."""
        self.values = values = list(map(min, values, self.values)) if self.edges else values
        self.most = max(values) if self.shape is None else max(map(sub, values, self.shape.costs))
        self.edges.append(edge)


class Edge(NamedTuple):
    """A way to a state: from another by a move, or with the same grip for so much a grip; by any grip at first."""

    before: State
    move: Transition | None
    costs: Sequence[int]


def way_back(state: State) -> list[Choice]:
    """The choices that lead to a state."""
    chosen: list[Choice] = []
    grip = state.values.index(state.bound)
    while state.edges:
        if state.choice is not None:
            chosen.append(state.choice)
        state, grip = _come_from(state, grip)
    return chosen[::-1]


def _come_from(state: State, grip: int) -> tuple[State, int]:
    """The state and its grip by which a grip has its value."""
    value = state.values[grip]
    for before, move, costs in state.edges:
        values = before.values
        if move is not None:
            sums = list(map(add, values, move.column(grip)))
            least = min(sums)
            if least + costs[0] == value:
                return before, sums.index(least)
        elif before.shape is state.shape:
            if values[grip] + costs[grip] == value:
                return before, grip
        elif values[0] + costs[grip] == value:
            return before, 0
    raise AssertionError("no way leads here")
