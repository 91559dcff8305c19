"""Arcs that cross an edge: what each side shows joins to the whole, wherever the edge lies."""

from __future__ import annotations

import re
from typing import NamedTuple

import pytest
from drawn import drawing, timeline
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import share

from tabtools.engraving import NoteText
from tabtools.engraving.arcs import arc, lefts_of
from tabtools.engraving.layout import lay_out
from tabtools.engraving.moves import trace_moves
from tabtools.engraving.scene import Scene, scenes_of

TWO_BARS = "bar 1\n1-4  3:5 3:7 3:8 3:10\n\nbar 2\n1-4  p7 3:5 3:7 3:8\n"


class Stretch(NamedTuple):
    """One edge of a drawn arc, as points in pixels from the left edge of its piece."""

    points: list[tuple[float, float]]

    def height(self, x: float) -> float:
        """Its height at a place, found by halving."""
        low, high = -0.2, 1.2
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if self._at(middle, 0) < x else (low, middle)
        return self._at(low, 1)

    def _at(self, t: float, axis: int) -> float:
        shares = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
        return sum(part * point[axis] for part, point in zip(shares, self.points, strict=True))


def edges_of(svg: str, width: float) -> tuple[Stretch, Stretch]:
    """The outer and the inner edge of a drawn arc."""
    x, y, wide = (float(one) for one in re.search(r'x="([^"]+)%" y="([^"]+)" width="([^"]+)%"', svg).groups())
    path = re.search(r' d="([^"]+)"', svg)[1]
    numbers = [float(one) for one in re.findall(r"-?[0-9.]+", path)]
    points = [
        (x / 100 * width + across / 100 * wide / 100 * width, y + down)
        for across, down in zip(numbers[::2], numbers[1::2], strict=True)
    ]
    return Stretch(points[:4]), Stretch(points[:3:-1])


def two_scenes() -> list[Scene]:
    timed = timeline(TWO_BARS)
    scenes = scenes_of(timed, [NoteText("")] * len(timed.notes))
    for scene in scenes:
        lay_out(scene)
    return scenes


@settings(max_examples=share(80))
@given(st.floats(12, 90), st.floats(12, 90), st.floats(-20, 20), st.sampled_from([-7.4, 6.4]))
def test_both_sides_of_an_edge_meet(before: float, after: float, rise: float, bow: float) -> None:
    first, second = two_scenes()
    left, right = (first.width - before, 0.0), (first.width + after, rise)
    one = edges_of(arc(first, left, right, bow), first.width)
    other = edges_of(arc(second, (-before, 0.0), (after, rise), bow), second.width)
    for here, there in zip(one, other, strict=True):
        assert here.height(first.width) == pytest.approx(there.height(0.0), abs=0.25)
        slant = here.height(first.width) - here.height(first.width - 1)
        assert slant == pytest.approx(there.height(1.0) - there.height(0.0), abs=0.25)


def test_what_lies_wholly_beyond_is_not_drawn() -> None:
    first, _ = two_scenes()
    assert arc(first, (-20.0, 0.0), (0.5, 0.0), 6.0) == ""
    assert arc(first, (first.width, 0.0), (first.width + 30, 0.0), 6.0) == ""


def test_a_slur_over_the_bar_line_has_one_letter_over_its_middle() -> None:
    scenes = two_scenes()
    _, letters = trace_moves(scenes)
    lefts = lefts_of(scenes)
    ends = scenes[0].xs[-1] + lefts[0], scenes[1].xs[0] + lefts[1]
    (found,) = [lefts[place] + letter.x for place, own in enumerate(letters) for letter in own]
    assert found == pytest.approx(sum(ends) / 2, abs=10)
    assert ends[0] < found < ends[1]


def test_a_slur_over_the_bar_line_is_drawn_in_both_bars() -> None:
    for bar in drawing(TWO_BARS).sections[0].bars:
        assert bar.pieces[0].staff.count('preserveAspectRatio="none"') == 1
