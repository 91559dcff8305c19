"""Grips of single shapes: which fingers may hold them, and what each way costs beside the others."""

from __future__ import annotations

import pytest

from tabtools.hand.grip import (
    BARRE_COST_PER_STRING,
    BESIDE_OPEN_COST,
    FIRST_BARRE_COST,
    INVERSION_COST,
    LINE_FINGER_COST,
    OTHER_BARRE_COST,
    Grip,
    Shape,
    Stop,
)
from tabtools.hand.neck import Neck
from tabtools.hand.profile import DEFAULT_PROFILE
from tabtools.hand.stance import (
    BARELY,
    BEYOND,
    CHORD_FINGER_COST,
    CROWD_COST,
    DOUBTFUL,
    Stances,
    level_weight,
    strain_weight,
)

NECK = Neck(648, 0, 24)


def shape(*stops: Stop, opens: tuple[int, ...] = ()) -> Shape:
    return Shape(0, tuple(sorted(stops)), opens, Stances(NECK, DEFAULT_PROFILE))


def grips(*stops: Stop, opens: tuple[int, ...] = ()) -> dict[tuple[int, ...], Grip]:
    """The ways to hold the stops, by the fingers from the highest string to the lowest."""
    found = shape(*stops, opens=opens).grips
    by_fingers = {grip.fingers: grip for grip in found}
    assert len(by_fingers) == len(found), "no way is looked at twice"
    return by_fingers


@pytest.mark.parametrize(
    ("strain", "weight"),
    [
        (0.0, 0),
        (0.25, 100),
        (0.5, 200),
        (0.51, level_weight(DOUBTFUL)),
        (0.75, level_weight(DOUBTFUL)),
        (0.76, level_weight(BARELY)),
        (1.0, level_weight(BARELY)),
        (1.01, level_weight(BEYOND)),
    ],
)
def test_a_strain_weighs_in_proportion_up_to_the_warning_then_a_level_of_its_own(strain: float, weight: int) -> None:
    assert strain_weight(strain) == weight


# ---- two places on one fret


def test_on_one_fret_the_lower_string_takes_the_lower_finger() -> None:
    """The other way round is looked at, and costs more."""
    found = grips(Stop(4, 7), Stop(5, 7), opens=(3,))
    assert found[2, 3].cost - found[3, 2].cost == INVERSION_COST
    assert min(found.values(), key=lambda grip: grip.cost).fingers == (2, 1)


def test_fingers_on_two_frets_are_never_turned_round() -> None:
    found = grips(Stop(4, 7), Stop(5, 8), opens=(3,))
    assert all(high < low for high, low in found)
    assert found[2, 3].cost == CHORD_FINGER_COST[2] + CHORD_FINGER_COST[3]


def test_fingers_crowded_on_one_fret_cost_by_the_frets_they_are_out_of_place() -> None:
    found = grips(Stop(4, 7), Stop(5, 7), opens=(3,))
    assert found[2, 1].cost == CHORD_FINGER_COST[1] + CHORD_FINGER_COST[2] + CROWD_COST
    assert found[3, 1].cost == CHORD_FINGER_COST[1] + CHORD_FINGER_COST[3] + 2 * CROWD_COST


# ---- barres


def test_a_barre_of_the_first_finger_costs_the_same_over_few_strings_and_many() -> None:
    for lowest in (2, 3, 5):
        found = grips(*(Stop(string, 5) for string in range(1, lowest + 1)), opens=(6,))
        assert found[(1,) * lowest].cost == CHORD_FINGER_COST[1] + FIRST_BARRE_COST


@pytest.mark.parametrize("finger", [2, 3, 4])
def test_a_barre_of_another_finger_costs_more_for_each_string_between_its_ends(finger: int) -> None:
    for between in (0, 1) if finger < 4 else (0,):  # the dearest grips are left out
        found = grips(*(Stop(string, 5) for string in range(1, between + 3)), opens=(6,))
        barre = OTHER_BARRE_COST[finger] + between * BARRE_COST_PER_STRING
        assert found[(finger,) * (between + 2)].cost == CHORD_FINGER_COST[finger] + barre


def test_a_barre_that_ends_beside_a_sounding_open_string_costs_more() -> None:
    stops = (Stop(2, 5), Stop(3, 5))
    beside, apart = (grips(*stops, opens=opens)[1, 1].cost for opens in ((1,), (6,)))
    assert beside - apart == BESIDE_OPEN_COST


def test_nothing_else_to_hold_a_finger_is_laid_over_neighbouring_strings() -> None:
    """Common practice: double stops and chords of three at one fret, by the first finger or the third."""
    for strings in ((2, 3), (4, 5, 6)):
        found = grips(*(Stop(string, 5) for string in strings))
        cheapest = sorted(found, key=lambda fingers: found[fingers].cost)[:2]
        assert cheapest == [(1,) * len(strings), (3,) * len(strings)]


def test_across_a_string_at_one_fret_the_second_and_third_finger_are_preferred() -> None:
    """Common practice: sixths, the string between them muted by a fingertip and by no barre."""
    found = grips(Stop(1, 7), Stop(3, 7))
    assert min(found, key=lambda fingers: found[fingers].cost) == (3, 2)


# ---- bends


def test_the_third_finger_bends_and_the_fourth_is_dearer_than_a_stretch_to_it() -> None:
    costs: dict[int, int] = {}
    for grip in shape(Stop(2, 8, force=1)).grips:
        if grip.position == 5:
            costs[grip.fingers[0]] = grip.cost
    assert costs[3] < costs[4]
    anywhere = {grip.fingers[0]: grip.cost for grip in reversed(shape(Stop(2, 8, force=1)).grips)}
    assert min(anywhere, key=lambda finger: anywhere[finger]) == 3


def test_a_curl_is_for_the_finger_that_is_there() -> None:
    """Common practice: the first finger alone only for small curls, which take hardly any force."""
    assert shape(Stop(3, 5, force=0)).grips[0].fingers == (1,)


def test_no_bend_out_of_a_barre() -> None:
    found = grips(Stop(2, 7), Stop(3, 7, force=1))
    assert found[4, 3].cost < found[3, 3].cost


def test_no_finger_bars_over_a_string_that_sounds_lower() -> None:
    assert (1, 1) in grips(Stop(2, 5), Stop(4, 5))
    assert (1, 1) not in grips(Stop(2, 5), Stop(4, 5), opens=(3,))
    assert not any(found[0] == found[2] for found in grips(Stop(2, 5), Stop(3, 3), Stop(4, 5)))


# ---- the position, and declared fingers


def test_the_position_is_the_fret_the_first_finger_has_or_would_have() -> None:
    found = grips(Stop(4, 7), Stop(5, 8))
    assert {fingers: grip.position for fingers, grip in found.items() if sum(fingers) in (3, 5, 7)} == {
        (1, 2): 7,
        (2, 3): 6,
        (3, 4): 5,
        (1, 4): 7,
    }
    assert found[2, 3].frets == ((2, 7), (3, 8))


def test_on_the_first_fret_the_position_is_the_first() -> None:
    assert grips(Stop(4, 1), Stop(5, 2))[3, 4].position == 1


def test_a_declared_finger_leaves_the_others_free_and_is_kept_where_it_crosses() -> None:
    assert {fingers[0] for fingers in grips(Stop(4, 7, declared=2), Stop(5, 8))} == {2}
    assert {grip.fingers for grip in shape(Stop(4, 7, declared=4), Stop(5, 9, declared=1)).grips} == {(4, 1)}


def test_the_thumb_takes_the_lowest_string_and_no_place_among_the_fingers() -> None:
    found = grips(Stop(1, 2), Stop(2, 3), Stop(6, 2, declared=5))
    assert {fingers[2] for fingers in found} == {5}
    assert (1, 2, 5) in found
    assert found[1, 2, 5].strain == 0


# ---- strings that ring


def test_what_rings_may_be_let_go_one_string_at_a_time_or_all_of_it() -> None:
    found = grips(Stop(1, 5), Stop(2, 5, rings=True), Stop(3, 5, rings=True))
    assert {tuple(bool(finger) for finger in fingers) for fingers in found} == {
        (True, True, True),
        (True, False, True),
        (True, True, False),
        (True, False, False),
    }


def test_a_single_ringing_string_is_let_go_or_held() -> None:
    found = grips(Stop(1, 5), Stop(2, 7, rings=True))
    assert {fingers[1] > 0 for fingers in found} == {True, False}
    assert all(fingers[0] for fingers in found)


# ---- too many places


def test_of_five_places_the_grips_hold_the_longest_runs_of_four() -> None:
    """In the order of their frets: the first four, or the last."""
    five = shape(*(Stop(string, 4 + string) for string in range(1, 6)))
    assert five.needed == 5
    assert {grip.fingers for grip in five.grips} == {(1, 2, 3, 4, 0), (0, 1, 2, 3, 4)}


def test_places_that_one_finger_can_bar_count_as_one() -> None:
    assert shape(*(Stop(string, 5) for string in range(1, 7))).needed == 1
    assert {len(fingers) for fingers in grips(*(Stop(string, 5 + string // 5) for string in range(1, 7)))} == {6}


# ---- single notes


def test_a_single_note_is_held_by_any_finger_from_the_position_it_gives() -> None:
    found = shape(Stop(3, 7)).grips
    in_place = {grip.fingers[0]: grip for grip in found if grip.cost == LINE_FINGER_COST[grip.fingers[0]]}
    assert {finger: grip.position for finger, grip in in_place.items()} == {1: 7, 2: 6, 3: 5, 4: 4}


def test_only_fingers_that_have_room_behind_them_hold_a_low_fret() -> None:
    assert [(grip.fingers, grip.position) for grip in shape(Stop(3, 1)).grips] == [((1,), 1)]
    assert ((2,), 1) in [(grip.fingers, grip.position) for grip in shape(Stop(3, 2)).grips]


def test_a_declared_finger_holds_a_note_even_where_it_has_no_room() -> None:
    assert [(grip.fingers, grip.position) for grip in shape(Stop(3, 1, declared=4)).grips] == [((4,), 1)]


def test_what_no_hand_reaches_is_left_to_the_fingers_that_come_nearest() -> None:
    stances = Stances(NECK, DEFAULT_PROFILE)
    weights = [stances.of(((1, 6), (finger, 12))).weight for finger in (2, 3, 4)]
    assert weights == sorted(set(weights), reverse=True)
