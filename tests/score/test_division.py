"""Slots to pieces that can be written."""

from __future__ import annotations

from fractions import Fraction

import pytest
from exported import bar

from tabtools.score.division import pieces, slots_shape
from tabtools.score.values import SMALLEST


@pytest.mark.parametrize("line", ["3:5", "- 3:5", "3:5*5 3:6*3", "3:5 (3:6 3:7 3:8)*2 . -", "3:5 3:6 3:7 3:8 3:9*7"])
@pytest.mark.parametrize("length", [Fraction(1, 8), Fraction(1), Fraction(3, 2), Fraction(7, 2), Fraction(5)])
def test_pieces_fill_their_line(line: str, length: Fraction) -> None:
    slots = bar(f"1-4  {line}").bars[0].lines[0].line.slots
    moment = Fraction(2)
    for piece in pieces(slots_shape(slots), moment, length):
        assert piece.onset == moment
        shrunk = piece.written
        for tuplet in piece.tuplets:
            shrunk *= Fraction(tuplet.normal, tuplet.actual)
        assert shrunk == piece.length
        moment += piece.length
    assert moment == 2 + length


def test_a_length_that_cannot_be_written() -> None:
    shape = slots_shape(bar("1-4  3:5").bars[0].lines[0].line.slots)
    for length in (Fraction(1, 3), SMALLEST / 2):
        with pytest.raises(ValueError, match="1/"):
            pieces(shape, Fraction(0), length)
