"""Figures that move along the neck, and chords that are picked apart: fingers stay together."""

from __future__ import annotations

import random

import pytest
from played import Spot, fingers, hand, line, places

from tabtools.hand.figures import MovedFigure, figures_of


def moved(figure: list[Spot], frets: int, times: int) -> list[Spot]:
    return [(string, fret + frets * time) for time in range(times) for string, fret in figure]


def made_figure(dice: random.Random) -> list[Spot]:
    """Three, four or six notes under one hand, none struck twice."""
    position, size = dice.randint(4, 14), dice.choice((3, 4, 6))
    every = [(string, fret) for string in range(1, 5) for fret in range(position, position + 4)]
    return dice.sample(every, size)


@pytest.mark.parametrize("seed", range(60))
def test_a_figure_moved_along_the_neck_keeps_its_fingers(seed: int) -> None:
    dice = random.Random(seed)
    figure = made_figure(dice)
    played = fingers(places(moved(figure, dice.choice((1, 2, -1)), 3), tempo=80))
    size = len(figure)
    assert played[:size] == played[size : 2 * size] == played[2 * size :]


@pytest.mark.parametrize("seed", range(30))
def test_a_figure_again_and_again_has_the_first_finger_whatever_came_before(seed: int) -> None:
    dice = random.Random(seed)
    figure = made_figure(dice)
    low = min(fret for _, fret in figure)
    before = [(3, low - 3), (3, low - 1), (2, low - 3), (2, low)]
    size = len(figure)
    played = fingers(places(before + figure * 6, tempo=100))[len(before) :]
    times = [played[start : start + size] for start in range(0, len(played), size)]
    assert len(set(times[1:5])) == 1
    if len({fret for _, fret in figure}) > 1:
        assert "1" in times[3]


def found(spots: list[Spot]) -> list[MovedFigure]:
    return list(figures_of(hand(places(spots, tempo=80)).grasps))


def test_what_is_a_moved_figure() -> None:
    four: list[Spot] = [(3, 5), (3, 7), (2, 6), (2, 5)]
    assert found(moved(four, 2, 2)) == [MovedFigure(0, 8, 4, 0)]
    assert found(moved(four[:3], 2, 3)) == [MovedFigure(0, 9, 3, 0)]
    assert found(moved(four[:3], 2, 2)) == []
    assert found(moved(four[:2], 3, 3)) == [MovedFigure(0, 6, 2, 0)]
    assert found([(6, 5), (6, 8), (5, 6), (5, 9), (4, 7), (4, 10)]) == [MovedFigure(0, 6, 2, 0)]
    assert found([(6, 5), (6, 8), (5, 5), (5, 8), (4, 5), (4, 8)]) == []
    assert found([(6, 5), (6, 7), (5, 6), (5, 8), (4, 7), (4, 9)]) == [MovedFigure(0, 6, 2, 0)]
    assert found([(6, 5), (6, 6), (5, 6), (5, 7), (4, 7), (4, 8)]) == []
    assert found(moved(four, 0, 4)) == []
    assert found([(1, fret) for fret in range(5, 17)]) == []


SCALES = ((0, 2, 4, 5, 7, 9, 11), (0, 2, 3, 5, 7, 8, 10), (0, 2, 3, 5, 7, 9, 10))


@pytest.mark.parametrize("seed", range(40))
def test_a_sequence_through_a_scale_is_fingered_time_by_time(seed: int) -> None:
    """Three or four notes on a string, a step higher each time: each has the fingers it has alone."""
    dice = random.Random(seed)
    scale, low = dice.choice(SCALES), dice.randint(1, 5)
    contour = dice.choice(([0, 1, 2, 1], [2, 1, 0, 1], [0, 1, 2, 0], [0, 2, 1, 0]))
    frets = [low + 12 * (step // 7) + scale[step % 7] for step in range(8)]
    times = [[(2, frets[first + step]) for step in contour] for first in range(5)]
    played = fingers(places([spot for time in times for spot in time], tempo=80))
    assert [played[at * 4 : at * 4 + 4] for at in range(5)] == [fingers(places(time, tempo=80)) for time in times]


def test_what_is_a_sequence() -> None:
    up: list[Spot] = [(2, fret) for fret in (5, 7, 8, 7, 8, 10, 8, 10, 12)]
    assert found(up) == [MovedFigure(0, 9, 3, 0, True)]
    assert found([(2, fret) for fret in (5, 7, 8, 10, 12, 13, 15)]) == []
    assert found([(2, fret) for fret in (5, 8, 6, 7, 5, 7)]) == []


def test_where_the_hand_cannot_follow_the_figure_is_played_as_it_can_be() -> None:
    spots = moved([(1, 10), (3, 10), (2, 9), (2, 10)], 2, 3)
    for tempo, is_led in ((60, True), (200, False)):
        assert all(bool(grasp.presses[0].led) is is_led for grasp in hand(places(spots, tempo=tempo)).grasps)


def test_written_fingers_are_no_part_of_a_figure() -> None:
    spots = moved([(3, 5), (3, 6), (2, 5), (2, 6)], 2, 3)
    slots = [f"{string}:{fret}" + ("[lh 2]" if fret == 7 else "") for string, fret in spots]
    assert fingers(line(slots, tempo=80))[4] == "2"


@pytest.mark.parametrize(
    ("slots", "expected"),
    [
        ("6:1+5:3+4:3+3:2+2:1+1:1 6:1 4:3 3:2 2:1 1:1", "13421114211"),
        ("5:3+4:2+3:0+2:1+1:0 5:3 4:2 3:0 2:1", "320103201"),
        ("3:5+2:5 3:7+2:7 3:7 2:7 3:7", "1133333"),
    ],
)
def test_a_chord_picked_apart_keeps_its_fingers(slots: str, expected: str) -> None:
    assert fingers(line(slots, 2, 100)) == expected


def test_after_a_second_the_hand_has_left_the_chord() -> None:
    assert fingers(line("6:1+5:3+4:3+3:2+2:1+1:1 . . . 4:3 4:5 4:3 4:5", 1, 60))[6:] == "1313"
