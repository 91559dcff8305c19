"""The fingers of several stops, beside every way there is to give four fingers to them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, product

from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import share

from tabtools.hand.assigning import Assigning
from tabtools.hand.grip import Stop

STOPS = st.lists(st.tuples(st.integers(1, 7), st.integers(1, 4)), min_size=2, max_size=6, unique_by=lambda at: at[0])


def can_be(stops: Sequence[Stop], fingers: Sequence[int], opens: Sequence[int]) -> bool:
    """Fingers rise with the frets; one bars over what is not to sound lower; two on one fret stand in order."""
    for (one, finger), (other, following) in combinations(zip(stops, fingers, strict=True), 2):
        if finger == following:
            if one.fret != other.fret:
                return False
            between = range(one.string + 1, other.string)
            if any(stop.string in between and stop.fret < one.fret for stop in stops):
                return False
            if any(string in between for string in opens):
                return False
        elif one.fret != other.fret and (one.fret < other.fret) != (finger < following):
            return False
    return True


def inversions(stops: Sequence[Stop], fingers: Sequence[int]) -> int:
    """Pairs on one fret of which the stop on the lower string has the higher finger."""
    pairs = combinations(zip(stops, fingers, strict=True), 2)
    return sum(one.fret == other.fret and finger < following for (one, finger), (other, following) in pairs)


@settings(max_examples=share(400), deadline=None)
@given(STOPS, st.sets(st.integers(1, 7), max_size=2))
def test_every_way_that_can_be_is_tried_once(spots: list[tuple[int, int]], strings: set[int]) -> None:
    stops = tuple(sorted(Stop(*spot) for spot in spots))
    opens = tuple(sorted(strings - {stop.string for stop in stops}))
    assigning = Assigning(stops, range(len(stops)), opens)
    found = [one.fingers for one in assigning.assignments()]
    every = [ways for ways in product(range(1, 5), repeat=len(stops)) if can_be(stops, ways, opens)]
    assert set(found) <= set(every)
    assert len(found) == len(set(found))
    assert {ways for ways in every if not inversions(stops, ways)} <= set(found)
    assert bool(found) == (assigning.fewest <= 4)
    for one in assigning.assignments():
        assert one.inversions == inversions(stops, one.fingers)
        assert one.down == tuple(sorted({(finger, stop.fret) for finger, stop in zip(one.fingers, stops, strict=True)}))


def test_fingers_are_given_to_what_is_kept_and_the_thumb_to_what_is_its_own() -> None:
    stops = (Stop(1, 3), Stop(2, 5), Stop(6, 3, declared=5))
    assignments = Assigning(stops, [1, 2], ()).assignments()
    assert [one.fingers for one in assignments] == [(0, finger, 5) for finger in range(1, 5)]
    assert assignments[0].down == ((1, 5), (5, 3))
