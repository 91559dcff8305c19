"""Meters and feels; lengths in quarter notes."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tabtools.model.rhythm import STRAIGHT, Feel, Meter, clock_in_tenths
from tabtools.model.solo import Bar, BeatLine, Group, Hold, Like, Note, Solo, Stroke, notes_of


@pytest.mark.parametrize(
    ("meter", "length", "beat", "is_compound", "text"),
    [
        (Meter(4, 4, 4), 4, 1, False, "4/4"),
        (Meter(7, 8, 7), Fraction(7, 2), Fraction(1, 2), False, "7/8"),
        (Meter(2, 2, 2), 4, 2, False, "2/2"),
        (Meter(12, 8, 12), 6, Fraction(1, 2), False, "12/8"),
        (Meter(12, 8, 4), 6, Fraction(3, 2), True, "12/8 in 4"),
        (Meter(6, 8, 2), 3, Fraction(3, 2), True, "6/8 in 2"),
        (Meter(4, 4, 2), 4, 2, False, "4/4 in 2"),
        (Meter(5, 16, 5), Fraction(5, 4), Fraction(1, 4), False, "5/16"),
    ],
)
def test_meters(meter: Meter, length: Fraction, beat: Fraction, is_compound: bool, text: str) -> None:
    assert meter.length == length
    assert meter.beat == beat
    assert meter.length == meter.beat * meter.counts
    assert meter.is_compound is is_compound
    assert str(meter) == text


def test_feels() -> None:
    assert not STRAIGHT.is_swung
    assert str(STRAIGHT) == "straight"
    assert Feel(2, 1).first_share == Fraction(2, 3)
    assert Feel(3, 2).first_share == Fraction(3, 5)
    assert str(Feel(3, 2)) == "swing 3:2"


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [("0", "0:00.0"), ("62.5", "1:02.5"), ("59.94", "0:59.9"), ("59.97", "1:00.0"), ("3599.96", "60:00.0")],
)
def test_a_clock_in_tenths_never_shows_sixty_seconds(seconds: str, shown: str) -> None:
    assert clock_in_tenths(Fraction(seconds)) == shown


def test_what_a_repeat_repeats() -> None:
    once, twice = Like(9, 12, 1, 4), Like(5, 12, 1, 4)
    assert [once.source_of(number) for number in range(9, 13)] == [1, 2, 3, 4]
    assert [twice.source_of(number) for number in range(5, 13)] == [1, 2, 3, 4, 1, 2, 3, 4]
    assert Like(5, 5, 4, 3).source_of(5) == 4


def test_notes_of_a_line_in_written_order() -> None:
    notes = [Note(string, Fraction(fret)) for string, fret in ((3, 7), (2, 8), (1, 5), (3, 5))]
    inner = Group((Stroke((notes[1],)), Group((Stroke((notes[2],)),))))
    line = BeatLine(1, 1, (Stroke((notes[0],)), inner, Hold(), Stroke((notes[3],))))
    assert notes_of(line) == notes


def test_bars_of_a_solo_are_those_written_out() -> None:
    solo = Solo(items=(Bar(1), Like(2, 3, 1, 1), Bar(4)))
    assert [bar.number for bar in solo.bars] == [1, 4]
