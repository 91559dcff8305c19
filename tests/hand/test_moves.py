"""The least cost of coming to a grip is that of all the ways there, however few of them are looked at."""

from __future__ import annotations

from operator import add

from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import share

from tabtools.hand.grip import Shape, Stop
from tabtools.hand.moves import Moves, Transition, strings_between
from tabtools.hand.neck import Neck
from tabtools.hand.profile import DEFAULT_PROFILE
from tabtools.hand.stance import BEYOND, level_weight
from tabtools.hand.ties import Tie, Ties
from tabtools.hand.ways import LAST_CLASS

MOVES = Moves(Neck(648, 0, 22), DEFAULT_PROFILE)
VALUES = st.integers(0, 2000) | st.integers(1, 4).map(level_weight)


@st.composite
def shapes(draw: st.DrawFn) -> Shape:
    """What is held within a few frets; much of it rings and may be let go."""
    lowest = draw(st.integers(1, 12))
    strings = sorted(draw(st.sets(st.integers(1, 6), min_size=1, max_size=3)))
    rings = st.integers(0, 3).map(bool)
    stops = tuple(Stop(string, lowest + draw(st.integers(0, 2)), rings=draw(rings)) for string in strings)
    return MOVES.shape(stops) if len(stops) > 1 else MOVES.single(stops[0].string, stops[0].fret, 0, 0)


@st.composite
def ties(draw: st.DrawFn, before: int, after: int) -> Ties:
    """Some of the stops before tied to some of those after, each once."""
    ones, others = draw(st.permutations(range(before))), draw(st.permutations(range(after)))
    pairs = list(zip(ones, others, strict=False))[: draw(st.integers(0, 2))]
    kinds = st.sampled_from([Tie.HELD, Tie.HELD, Tie.LEGATO, Tie.SLIDE])
    return tuple((draw(kinds), one, other) for one, other in pairs)


def least_of_all(move: Transition, values: list[int], grips: int) -> list[int]:
    return [min(map(add, values, move.column(grip))) for grip in range(grips)]


@settings(max_examples=share(400), deadline=None)
@given(shapes(), shapes(), st.data())
def test_the_least_cost_is_the_least_of_all_ways(before: Shape, after: Shape, data: st.DataObject) -> None:
    tied = data.draw(ties(len(before.stops), len(after.stops)))
    values = data.draw(st.lists(VALUES, min_size=len(before.grips), max_size=len(before.grips)))
    time = data.draw(st.integers(0, LAST_CLASS))
    move = MOVES.move(before, after, strings_between(before.stops, after.stops), time, tied)
    assert move.reach(values) == least_of_all(move, values, len(after.grips))


def test_a_ringing_string_is_let_go_from_a_grip_that_held_it() -> None:
    """Grips that had let it go before are no way there where they cost more."""
    held = MOVES.shape((Stop(1, 5, rings=True), Stop(2, 7, rings=True)))
    values = [0 if all(grip.fingers) else level_weight(BEYOND) for grip in held.grips]
    move = MOVES.move(held, held, 0, 0, ((Tie.HELD, 0, 0), (Tie.HELD, 1, 1)))
    assert move.reach(values) == least_of_all(move, values, len(held.grips))
