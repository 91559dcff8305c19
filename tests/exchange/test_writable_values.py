"""Slots to written values, against music21's durations."""

from __future__ import annotations

from fractions import Fraction

import pytest
from exported import bar
from music21.duration import Duration

from tabtools.exchange.rhythm import SMALLEST, longest_value, name_of, pieces, values

LENGTHS = [Fraction(number, 64) for number in range(1, 260)]


def test_values_have_the_names_music21_gives_them() -> None:
    for length in LENGTHS:
        value = longest_value(length)
        assert name_of(value) == Duration(value).type
        assert value <= length < value * 2


@pytest.mark.parametrize("line", ["3:5", "- 3:5", "3:5*5 3:6*3", "3:5 (3:6 3:7 3:8)*2 . -", "3:5 3:6 3:7 3:8 3:9*7"])
@pytest.mark.parametrize("length", [Fraction(1, 8), Fraction(1), Fraction(3, 2), Fraction(7, 2), Fraction(5)])
def test_pieces_and_values_fill_their_line(line: str, length: Fraction) -> None:
    slots = bar(f"1-4  {line}").bars[0].lines[0].line.slots
    found = list(pieces(slots, Fraction(2), length))
    moment = Fraction(2)
    for piece in found:
        for value in values(piece):
            assert value.onset == moment
            shrunk = value.written
            for tuplet in value.tuplets:
                shrunk *= Fraction(tuplet.normal, tuplet.actual)
            assert shrunk == value.length
            moment += value.length
    assert moment == 2 + length


def test_a_length_that_cannot_be_written() -> None:
    slots = bar("1-4  3:5").bars[0].lines[0].line.slots
    for length in (Fraction(1, 3), SMALLEST / 2):
        with pytest.raises(ValueError, match="1/"):
            list(pieces(slots, Fraction(0), length))
