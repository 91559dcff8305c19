"""Notes a second by technique, sweeps, rakes, tremolo, crossings of the pick."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from played import hand, line

from tabtools.hand.pace import BURST, SECOND, Events


def test_the_most_in_any_second() -> None:
    pace = hand(line("3:5 3:7 3:5 3:7 . . . . 3:5 . . .", tempo=60)).pace
    assert pace.picked.top() == 4
    assert pace.picked.top(4.0) == pytest.approx(5 / 4)


def test_exactly_a_second_later_is_another_second() -> None:
    assert Events([0.0, 1.0, 2.0], [0, 1, 2]).top() == 1


def test_techniques_are_told_apart() -> None:
    pace = hand("bar 1\n1-4  3:5 h7 t12 p7 /9 b11 r9 3:x\n").pace
    assert pace.picked.notes == [0, 7]
    assert pace.legato.notes == [1, 3, 4]
    assert pace.tapped.notes == [2]
    assert pace.slurs == 4
    assert len(pace.all) == 6


def test_moves_within_a_slot_share_its_time() -> None:
    pace = hand("bar 1\n1-4  3:5h7p5t12\n").pace
    assert pace.legato.times == pytest.approx([0.5, 1.0])
    assert pace.tapped.times == pytest.approx([1.5])


def test_nothing_is_counted_where_the_rhythm_or_all_of_it_is_not_known() -> None:
    pace = hand("bar 1\n1  3:5 h7\n2? 3:5 h7 3:5 h7 3:5 h7\n3  ?? =D4\n4  =D4h=E4 h=F4\n").pace
    assert pace.picked.notes == [0]
    assert pace.legato.notes == [1, 10, 11]


def test_the_pick_crosses_nothing_on_its_way_to_a_string_that_is_not_known() -> None:
    assert len(list(hand(line("5:5 1:5 5:5")).pace.crossings())) == 2
    assert list(hand(line("5:5 =D4 5:5 ? 5:5 1:5+=E4")).pace.crossings()) == []


def test_no_shift_is_timed_where_the_rhythm_is_not_known() -> None:
    assert len(hand("bar 1\n1  3:5\n2-4  3:15\n").shifts) == 1
    assert hand("bar 1\n1  3:5\n2-4?  3:15\n").shifts == ()
    assert hand("bar 1\n1?  3:5\n2-4  3:15\n").shifts == ()


@pytest.mark.parametrize(
    ("bend", "seconds"), [("3:5 -", 4), ("3:5 b7", 2), ("3:5b7 r5", 2), ("3:5b7 -", 4), ("3:5+2:5 -", 4)]
)
def test_a_shift_has_the_time_since_the_finger_let_the_string_back(bend: str, seconds: float) -> None:
    (shift,) = hand(f"bar 1  tempo 60\n1-4  {bend}\n\nbar 2\n1-4  3:15\n").shifts
    assert shift.seconds == pytest.approx(seconds)


def test_a_stroke_is_one_however_many_notes_it_has() -> None:
    assert len(hand("bar 1\n1-4  3:5+2:5+1:5 t3:12+2:0\n").pace.picked) == 2


@pytest.mark.parametrize(
    ("slots", "strokes"),
    [
        ("5:7 4:7 3:7 2:7", 2),
        ("2:7 3:7 4:7", 2),
        ("5:7 4:7 5:7 4:7", 4),
        ("5:7 3:7 1:7", 3),
        ("4:7[rake] 3:7[rake] 2:9", 1),
        ("5:7 4:7 . 3:7", 2),
    ],
)
def test_sweeps_and_rakes_are_one_motion(slots: str, strokes: int) -> None:
    assert len(hand(line(slots)).pace.picked) == strokes


def test_a_run_on_one_place_is_a_tremolo() -> None:
    pace = hand(line("3:5 3:7 " + "2:8 " * 8 + "3:7 3:5")).pace
    assert pace.tremolo.notes == list(range(2, 10))
    assert pace.changing.notes == [0, 1, 10, 11]


def test_a_chord_that_changes_is_no_tremolo() -> None:
    assert len(hand(line("3:5+2:5 3:5+2:6 " * 4)).pace.tremolo) == 0


def test_crossings_leave_out_neighbours_and_plucking_fingers() -> None:
    pace = hand(line(["6:5", "1:5", "2:5", "5:5[rh p]", "1:5[rh a]", "1:5+4:5", "6:5"])).pace
    assert [(one.before, one.after, one.strings) for one in pace.crossings()] == [(0, 1, 5), (5, 7, 2)]


def test_a_passage_is_one_crowd() -> None:
    events = Events([index / 20 for index in range(60)], list(range(60)))
    assert [(crowd.first, crowd.last, crowd.rate) for crowd in events.crowds(14)] == [(0, 60, 20)]


def test_two_passages_are_two() -> None:
    times = [index / 20 for index in range(20)] + [5 + index / 30 for index in range(30)]
    assert [(crowd.first, crowd.last, crowd.rate) for crowd in Events(times, list(range(50))).crowds(14)] == [
        (0, 20, 20),
        (20, 50, 30),
    ]


def test_short_bursts_count_from_seven_notes_on() -> None:
    def burst(count: int) -> Events:
        return Events([index / 40 for index in range(count)], list(range(count)))

    assert list(burst(BURST - 1).bursts(21)) == []
    (crowd,) = burst(BURST).bursts(21)
    assert (crowd.first, crowd.last) == (0, BURST) and crowd.rate == pytest.approx(40)


TIMES = st.lists(st.floats(0, 6, allow_nan=False), max_size=60).map(sorted)


@given(TIMES, st.integers(1, 12))
def test_crowds_are_where_more_come_than_that(times: list[float], most: int) -> None:
    """Against counting every second that begins with an event."""
    events = Events(times, list(range(len(times))))
    full = {
        first
        for first, start in enumerate(times)
        if sum(start <= time < start + SECOND - 1e-6 for time in times[first:]) > most
    }
    crowds = list(events.crowds(most))
    covered = {index for crowd in crowds for index in range(crowd.first, crowd.last)}
    assert full <= covered
    assert all(crowd.first in full for crowd in crowds)
    assert all(before.last <= after.first for before, after in pairwise(crowds))
    assert max((crowd.rate for crowd in crowds), default=0) == (events.top() if full else 0)


def test_nothing_is_counted_under_a_doubtful_count() -> None:
    pace = hand("bar 1\n1    3:5 3:7\n2-3? 3:5 h7 t12 3:5h7\n4    3:5 3:7\n").pace
    assert (len(pace.picked), len(pace.legato), len(pace.tapped)) == (4, 0, 0)


def test_what_has_no_place_is_left_out_and_nothing_is_told_over_it() -> None:
    pace = hand("bar 1  tempo 200\n1-4  6:5 =D4 1:5 ? 6:5 3:? 1:5 =E4+=G4 h=E4 ?? 3:=D4 h=E4\n").pace
    assert (len(pace.picked), len(pace.legato)) == (5, 2)
    assert list(pace.crossings()) == []


def test_a_stroke_of_unknown_place_is_no_part_of_a_sweep_or_a_tremolo() -> None:
    assert len(hand(line("5:7 4:7 =D4 3:7 2:7")).pace.picked) == 4
    assert len(hand(line("3:? 3:? 3:? 3:? 3:? 3:? 3:? 3:?")).pace.tremolo) == 0
