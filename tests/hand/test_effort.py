"""Limits, levels of hard moves, and the time that moves of hand and pick take."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tabtools.hand.grip import Stop
from tabtools.hand.moves import Moves
from tabtools.hand.neck import Neck
from tabtools.hand.profile import DEFAULT_PROFILE, REACH, Limit
from tabtools.hand.stance import BARELY, BEYOND, DOUBTFUL, IMPOSSIBLE_LEVEL, level_weight, strain_weight
from tabtools.hand.ways import LAST_CLASS, SHORTEST, class_seconds, time_class, travel

MILLION = 1_000_000
OUTSIDE = Path(__file__).parents[1] / "outside" / "published_figures.json"
SPEEDS = json.loads(OUTSIDE.read_text(encoding="utf-8"))["speed"]["rows"]
NECK = Neck()


def test_a_limit_is_a_scale_with_three_marks() -> None:
    limit = Limit(10, 20, 60)
    assert [limit.strain(figure) for figure in (0, 10, 15, 20, 40, 60, 100)] == [0, 0, 0.25, 0.5, 0.75, 1, 1.5]
    assert limit.times(2) == Limit(20, 40, 120)


def test_limits_rise_and_the_widest_is_between_the_outer_fingers() -> None:
    for limit in REACH.values():
        assert limit.comfort < limit.warning < limit.error
    assert max(REACH.values(), key=lambda limit: limit.error) is REACH[1, 4]


def test_no_sum_of_lesser_moves_outweighs_a_harder_one() -> None:
    """Hardest first: a million moves of one level, or any sum of plain costs, stay below one move of the next."""
    levels = [level_weight(level) for level in (DOUBTFUL, BARELY, BEYOND, IMPOSSIBLE_LEVEL)]
    assert all(higher > MILLION * lower for lower, higher in pairwise(levels))
    assert levels[0] > MILLION * MILLION


@given(st.floats(0, 3), st.floats(0, 3))
def test_more_strain_never_weighs_less(strain: float, other: float) -> None:
    low, high = sorted((strain, other))
    assert strain_weight(low) <= strain_weight(high)


@given(st.floats(0.001, 10))
def test_classes_of_time_lie_close(seconds: float) -> None:
    middle = class_seconds(time_class(seconds))
    if SHORTEST < seconds < class_seconds(LAST_CLASS):
        assert middle / 1.2 < seconds < middle * 1.2


@pytest.mark.parametrize(
    ("finger", "fret", "following", "to_fret", "expected"),
    [
        (1, 5, 1, 7, NECK.gap(5, 7)),
        (1, 5, 4, 8, 0),
        (4, 8, 1, 9, NECK.gap(8, 9)),
        (1, 5, 4, 12, NECK.gap(5, 12) - REACH[1, 4].comfort),
        (4, 12, 1, 5, NECK.gap(5, 12) - REACH[1, 4].comfort),
        (2, 5, 3, 4, NECK.gap(4, 5)),
        (5, 5, 1, 7, NECK.gap(5, 7)),
    ],
)
def test_a_finger_goes_what_the_hand_cannot_span(
    finger: int, fret: int, following: int, to_fret: int, expected: float
) -> None:
    assert travel(NECK, DEFAULT_PROFILE, finger, fret, following, to_fret) == pytest.approx(expected)


def test_pick_rates_against_published_speeds() -> None:
    """The fastest counted burst (milehighshred.com); tapping hands (Fujii 2009, Neuroscience Letters 459:69).

    A pick sounds on its way down and on its way up: two strokes for each tap.
    """
    burst, tapping, fastest_tapping = SPEEDS
    warning, error = DEFAULT_PROFILE.pick_rate
    assert error == burst["high"]
    assert warning == 2 * tapping["high"] < 2 * fastest_tapping["high"] < error


def test_time_grows_with_the_way_and_shrinks_with_the_width_of_the_fret() -> None:
    """Fitts's law."""
    seconds = [DEFAULT_PROFILE.shift_seconds(mm, 10) for mm in (0, 10, 30, 70, 150)]
    assert seconds == pytest.approx([0, 0.06, 0.1, 0.14, 0.18])
    assert DEFAULT_PROFILE.shift_seconds(100, 5) > DEFAULT_PROFILE.shift_seconds(100, 10)


def test_the_pick_takes_longer_over_more_strings() -> None:
    seconds = [DEFAULT_PROFILE.crossing_seconds(strings) for strings in range(6)]
    assert seconds[0] == 0 and seconds[1] == pytest.approx(0.04)
    assert seconds == sorted(seconds)


@pytest.mark.parametrize("strings", [6, 9])
def test_the_grips_of_a_shape_are_bounded(strings: int) -> None:
    moves = Moves(Neck(strings=strings), DEFAULT_PROFILE)
    barred = moves.shape(tuple(Stop(string, 7) for string in range(1, strings + 1)))
    ringing = moves.shape(tuple(Stop(string, 5 + string % 3, rings=string > 1) for string in range(1, strings + 1)))
    assert 0 < len(barred.grips) <= 24
    assert 0 < len(ringing.grips) <= 24 + 48
    assert barred.needed == 1


def test_five_frets_need_five_fingers_and_one_goes_without() -> None:
    shape = Moves(NECK, DEFAULT_PROFILE).shape(tuple(Stop(string, 4 + string) for string in range(1, 6)))
    assert shape.needed == 5
    assert all(grip.fingers.count(0) == 1 for grip in shape.grips)
