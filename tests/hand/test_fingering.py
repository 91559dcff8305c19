"""Fingers and positions: what the trade teaches, what ties the hand, and that the search is exact."""

from __future__ import annotations

from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from played import Spot, fingers, hand, line, places, positions

from tabtools.hand.fingering import choose_grips
from tabtools.hand.grasp import Grasping
from tabtools.hand.moves import Moves, strings_between
from tabtools.hand.neck import neck_of
from tabtools.hand.profile import DEFAULT_PROFILE
from tabtools.hand.string import strings_of
from tabtools.hand.ways import time_class
from tabtools.model.instrument import STANDARD_INSTRUMENT
from tabtools.notation.build import read_solo
from tabtools.source import from_text
from tabtools.timeline import timeline_of

# ---- what is taught (common practice)

G_MAJOR = "6:3 6:5 5:2 5:3 5:5 4:2 4:4 4:5 3:2 3:4 3:5 2:3 2:5 1:2 1:3"
A_MAJOR = "6:5 6:7 5:4 5:5 5:7 4:4 4:6 4:7 3:4 3:6 3:7 2:5 2:7 1:4 1:5"
A_MINOR_PENTATONIC = "6:5 6:8 5:5 5:7 4:5 4:7 3:5 3:7 2:5 2:8 1:5 1:8"
SECOND_BOX = "6:8 6:10 5:7 5:10 4:7 4:10 3:7 3:9 2:8 2:10 1:8 1:10"
C_MAJOR_OPEN = "5:3 4:0 4:2 4:3 3:0 3:2 2:0 2:1 2:3 1:0 1:1 1:3"
THREE_A_STRING = "6:3 6:5 6:7 5:3 5:5 5:7 4:4 4:5 4:7 3:4 3:5 3:7"


@pytest.mark.parametrize(
    ("spots", "expected"),
    [
        (G_MAJOR, "241241341342412"),
        (A_MAJOR, "241241341342412"),
        (A_MINOR_PENTATONIC, "141313131414"),
        (SECOND_BOX, "241414132424"),
        (C_MAJOR_OPEN, "302302013013"),
        (THREE_A_STRING, "124124124124"),
        ("5:12 4:10 3:9 2:10 1:8 1:12 1:8 2:10 3:9 4:10", "4323141323"),
        ("1:5 1:6 1:7 1:8 1:9 1:10 1:11 1:12", "12341234"),
        ("1:12 1:11 1:10 1:9 1:8 1:7 1:6 1:5", "43214321"),
    ],
)
def test_lines_are_fingered_as_they_are_taught(spots: str, expected: str) -> None:
    assert fingers(line(spots)) == expected


@pytest.mark.parametrize("position", range(1, 19))
def test_one_finger_a_fret_in_every_position(position: int) -> None:
    run = [(string, position + finger) for string in range(6, 0, -1) for finger in range(4)]
    assert fingers(places(run + run[::-1])) == "1234" * 6 + "4321" * 6
    assert set(positions(places(run))) == {position}


@pytest.mark.parametrize(
    ("chord", "expected"),
    [
        ("5:3+4:2+3:0+2:1+1:0", "32010"),
        ("6:0+5:2+4:2+3:1+2:0+1:0", "023100"),
        ("5:0+4:2+3:2+2:2+1:0", "01230"),
        ("4:0+3:2+2:3+1:2", "0132"),
        ("5:0+4:2+3:2+2:1+1:0", "02310"),
        ("6:1+5:3+4:3+3:2+2:1+1:1", "134211"),
        ("5:1+4:3+3:3+2:2+1:1", "13421"),
        ("6:5+5:7+4:7", "134"),
    ],
)
def test_chords_are_gripped_as_they_are_taught(chord: str, expected: str) -> None:
    assert fingers(f"bar 1\n1-4  {chord}\n") == expected


# ---- what ties the hand


def test_open_strings_leave_the_hand_where_it_is() -> None:
    assert fingers(line("3:5 3:0 3:5 3:0 3:7 3:0 3:8 3:0")) == "10103040"


def test_a_slur_is_done_by_two_fingers() -> None:
    assert fingers(line("3:7 h9 p7 3:9")) in ("1313", "2424")


@pytest.mark.parametrize(
    "line", ["2:13 1:11 1:14 1:13 1:11 2:13 2:11 p9 3:11", "1:12 1:10 2:12 2:12 p10 3:12 3:9", "3:9 3:7 1:7 p5"]
)
def test_a_whole_tone_is_pulled_off_by_every_other_finger_and_the_hand_stays(line: str) -> None:
    played = hand(f"tempo: 92\n\nbar 1\n1-4  {line}\n")
    (pulled,) = (note.index for note in played.timeline.notes if note.note.via == "p")
    one, other = played.notes[pulled - 1], played.notes[pulled]
    assert one.finger + other.finger in ("31", "42")
    assert one.position == other.position


def test_a_slide_takes_its_finger_along() -> None:
    played = fingers(line("3:5 /7 /9 \\5"))
    assert len(set(played)) == 1


def test_moves_within_a_slot_have_fingers_of_their_own() -> None:
    note = hand("bar 1\n1-4  3:5h7p5\n").notes[0]
    assert (note.finger, *note.then) == ("1", "3", "1")


def test_a_trill_needs_a_second_finger() -> None:
    assert hand("bar 1\n1-4  3:7[trill 9, lh 1]\n").notes[0].then == ("3",)


def test_a_ringing_string_keeps_its_finger() -> None:
    """On its own the fourth finger could go from one string to the other; while the first rings it cannot."""
    assert fingers("bar 1\n1-4  4:5 3:5 2:6 1:8\n") == "1124"
    low, high = fingers("bar 1\n1-4  5:7[ring] 3:5\n")
    assert low > high


def test_bends_are_left_to_a_finger_with_helpers() -> None:
    assert fingers("bar 1\n1-4  2:15b17\n") == "3"


def test_a_bend_in_a_slot_of_its_own_keeps_the_finger() -> None:
    assert fingers("bar 1\n1-4  3:7 b9 r7 p5\n") == "3331"


def test_declared_fingers_are_kept() -> None:
    assert fingers("bar 1\n1-4  3:5[lh 2] 3:7 3:8[lh 4] 3:5[lh T]\n")[0::2] == "24"
    assert fingers("bar 1\n1-4  3:5[lh 2] 3:7 3:8[lh 4] 3:5[lh T]\n")[3] == "T"
    assert fingers("bar 1\n1-4  4:2[lh 1]+3:2[lh 1]+2:3\n")[:2] == "11"


def test_taps_belong_to_the_other_hand() -> None:
    played = hand("bar 1\n1-4  2:5 t17 p8 p5\n")
    assert [note.finger for note in played.notes] == ["1", "tap", "4", "1"]
    assert played.notes[1].position is None


def test_dead_notes_and_places_off_the_neck_have_no_finger() -> None:
    assert fingers("bar 1\n1-4  3:x 3:30 3:7\n", "frets: 22\n")[:2] == "--"


def test_the_same_place_again_keeps_its_finger() -> None:
    assert fingers(line(["3:7"] * 8)) == fingers(line(["3:7"]))[0] * 8


def test_after_a_rest_a_phrase_finds_its_own_place() -> None:
    spots = ["3:5", "3:7", "3:8", ".", *["."] * 12, "3:6", "3:7", "3:8", "3:9"]
    assert fingers(line(spots, tempo=60)).endswith("1234")


def test_reach_is_measured_from_the_first_finger() -> None:
    played = hand("bar 1\n1-4  4:5+3:8 2:5\n")
    assert [note.position for note in played.notes] == [5, 5, 5]
    assert played.notes[0].reach_mm == pytest.approx(played.neck.gap(5, 8))
    assert played.notes[2].reach_mm == 0


# ---- the search


SPOTS = st.tuples(st.integers(1, 6), st.integers(0, 20))
LINES = st.lists(SPOTS, min_size=1, max_size=4)


@given(LINES, st.sampled_from((60, 120, 200)))
def test_no_other_choice_of_grips_is_better(spots: list[Spot], tempo: int) -> None:
    """Every combination of grips tried one by one."""
    grasps, moves = grasped(places(spots, tempo=tempo))
    total = choose_grips(grasps, moves)
    assert total == cheapest(grasps, moves)


@given(
    st.lists(
        st.sampled_from(("3:5", "h7", "p5", "3:7+2:6", "3:9[ring]", "/9", "2:8", "3:0", "4:7+3:7", "h8")), max_size=3
    )
)
def test_no_other_choice_is_better_where_the_hand_is_tied(slots: list[str]) -> None:
    grasps, moves = grasped(line(["3:6", *slots], 2))
    assert choose_grips(grasps, moves) == cheapest(grasps, moves)


def test_what_was_fingered_before_changes_nothing() -> None:
    """Shapes of single notes are shared by all strings; the way from one to a chord depends on its string."""
    chord = line("1:8 6:7+5:8 6:8 2:7+1:8", 2)
    grasps, moves = grasped(chord)
    alone = choose_grips(grasps, moves)
    for string in range(1, 7):
        earlier, moves = grasped(line(f"{string}:8 {string}:5", 2))
        choose_grips(earlier, moves)
        grasps, _ = grasped(chord)
        assert choose_grips(grasps, moves) == alone


def grasped(bars: str):
    reading = read_solo(from_text(f"title: A\n\n{bars}"))
    timeline = timeline_of(reading.solo)
    neck = neck_of(STANDARD_INSTRUMENT)
    grasps = Grasping(timeline.notes, strings_of(STANDARD_INSTRUMENT), neck.frets).grasps
    return grasps, Moves(neck, DEFAULT_PROFILE)


def cheapest(grasps: list, moves: Moves) -> int:
    if not grasps:
        return 0
    shapes = [grasp.find_shape(moves) for grasp in grasps]
    columns = []
    for before, after in pairwise(grasps):
        strings = strings_between(before.presses, after.presses)
        time = time_class(after.start - before.last)
        move = moves.move(before.shape, after.shape, strings, time, after.ties)
        columns.append([move.column(grip) for grip in range(len(after.shape.grips))])
    return min(
        shapes[0].costs[chosen[0]]
        + sum(column[after][before] for column, before, after in zip(columns, chosen, chosen[1:], strict=False))
        for chosen in product(*(range(len(shape.grips)) for shape in shapes))
    )


@given(LINES, st.integers(0, 2))
def test_the_same_line_a_string_higher_is_as_hard(spots: list[Spot], up: int) -> None:
    """Strings differ in bends only: a line moved to other strings of the neck keeps its cost."""
    low = [(min(6, string + 3), fret) for string, fret in [(1 + string % 3, fret) for string, fret in spots]]
    high = [(string - up, fret) for string, fret in low]
    costs = []
    for moved in (low, high):
        grasps, moves = grasped(places(moved))
        costs.append(choose_grips(grasps, moves))
    assert costs[0] == costs[1]


@given(LINES)
def test_slower_is_never_harder(spots: list[Spot]) -> None:
    costs = []
    for tempo in (200, 120, 60):
        grasps, moves = grasped(places(spots, tempo=tempo))
        costs.append(choose_grips(grasps, moves))
    assert costs == sorted(costs, reverse=True)


@given(LINES)
def test_fingers_never_cross_within_a_position(spots: list[Spot]) -> None:
    played = hand(places(spots))
    for note, fingered in zip(played.timeline.notes, played.notes, strict=True):
        if fingered.position is not None:
            assert fingered.finger in "1234"
            assert fingered.position <= note.fret
            assert fingered.finger != "1" or fingered.position == note.fret
