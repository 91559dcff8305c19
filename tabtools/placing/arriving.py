"""What a state costs by each grip, worked out when it is asked for.

Nothing better is left out: a way is passed over only where what it costs at least is no less than what is known
already of every grip, and a state that a way comes from is worked out before the way is taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from operator import add, attrgetter

from tabtools.hand.grasp import JUST
from tabtools.hand.grip import BEND_FINGER_COST
from tabtools.hand.moves import Moves, strings_between
from tabtools.hand.stance import IMPOSSIBLE_LEVEL, level_weight
from tabtools.hand.ties import Tie, Ties
from tabtools.placing.choices import FingersDown
from tabtools.placing.state import Before, Edge, Held, Several, State

ANYTHING = level_weight(IMPOSSIBLE_LEVEL + 5)
"""More than anything costs."""

_bound = attrgetter("bound")


def best_of(states: Sequence[State], moves: Moves) -> State:
    """The state that costs least, worked out."""
    while True:
        best = min(states, key=_bound)
        if best.is_known:
            return best
        work_out(best, moves)


def likeliest(states: Sequence[State], moves: Moves, most: int, behind: int) -> list[State]:
    """So many of the states, those that seem to cost least, worked out, in the order of what they do cost; those are
    left out that seem to cost so much more than the best of them."""
    likely = sorted(states, key=lambda state: state.bound + state.likely)[:most]
    least = inf
    known = []
    for state in likely:
        if state.bound + state.likely > least + behind:
            break
        work_out(state, moves)
        least = min(least, state.bound)
        known.append(state)
    return sorted(known, key=_bound)


def work_out(state: State, moves: Moves) -> None:
    """Work out what a state costs, and first those before it that matter to that."""
    asked = [state]
    while asked:
        first = _arrive(asked[-1], moves)
        if first is None:
            asked.pop()
        else:
            asked.append(first)


def _arrive(state: State, moves: Moves) -> State | None:
    """Take the ways to a state from where they were left; a state that has to be worked out before, or None."""
    ways = state.ways
    if not state.edges:
        ways.sort()
    for number in range(state.taken, len(ways)):
        _, _, more, cost, way, stiffer = ways[number]
        before = way.state
        if state.edges:
            if before.bound + more >= (state.most if stiffer is None else max(state.values)):
                continue
            if not before.is_known and stiffer is None and _is_no_better(state, way, cost, moves):
                continue
        if not before.is_known:
            state.taken = number
            return before
        if stiffer is None:
            _move(state, way, cost, moves)
        else:
            _stay(state, before, cost, stiffer)
    ways.clear()
    state.is_known = True
    state.bound = min(state.values)
    return None


def _stay(state: State, before: State, cost: int, stiffer: Sequence[int]) -> None:
    """The fingers stay, some of them bending more."""
    shape = state.shape = before.shape
    costs = [cost] * len(before.values)
    if shape is not None and any(stiffer):
        costs = [
            cost + sum([force * BEND_FINGER_COST[finger] for force, finger in zip(stiffer, fingers, strict=True)])
            for fingers, _, _, _, _ in shape.grips
        ]
    state.take(list(map(add, before.values, costs)), Edge(before, None, costs))


def _move(state: State, way: Before, cost: int, moves: Moves) -> None:
    """The fingers come down where they were not."""
    before, shape, step = way.state, state.shape, state.step
    assert step is not None
    if shape is None:
        form = state.form
        assert isinstance(form, Several)
        shape = state.shape = moves.shape(*form)
    one = before.shape
    if one is None:
        costs = [cost + own for own in shape.costs]
        state.take([before.values[0] + own for own in costs], Edge(before, None, costs))
        return
    olds, presses = before.presses, state.presses
    ties = _ties(state, olds, step) if step.is_tied or len(presses) > len(step.downs) else ()
    move = moves.move(one, shape, strings_between(olds, presses), way.time, ties)
    known = state.values or [ANYTHING] * len(shape.grips)
    values = move.better(before.values, cost, known)
    if values is not known:
        state.take(values, Edge(before, move, [cost]))


def _is_no_better(state: State, way: Before, cost: int, moves: Moves) -> bool:
    """Whether a way can make no value of a state smaller, whatever the fingers do."""
    before, shape, step = way.state, state.shape, state.step
    assert shape is not None
    assert step is not None
    least = before.bound + cost
    if len(before.presses) != 1 or len(state.presses) != 1 or step.is_tied:
        return all(least + own >= value for own, value in zip(shape.costs, state.values, strict=True))
    for grip, own, value in zip(shape.grips, shape.costs, state.values, strict=True):
        if least + own < value:
            nearest = min(max(grip.position, before.lowest), before.highest)
            if least + own + moves.ways.shift(nearest, grip.position, way.time) < value:
                return False
    return True


def _ties(state: State, before: Held, step: FingersDown) -> Ties:
    """What ties the fingers of a grasp to those before that were down until the stroke began."""
    tied = dict(zip([down.string for down in step.downs], step.ties, strict=True))
    places = {press.string: index for index, press in enumerate(before) if press.end >= state.moment - JUST}
    return tuple(
        (tie, places[press.string], following)
        for following, press in enumerate(state.presses)
        if (tie := tied.get(press.string, Tie.HELD)) and press.string in places
    )
