"""Measured figures of solos and passages, and the strain of bars."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from played import hand, line, places

from tabtools.hand.demands import CAUTION, Rate, demands_of
from tabtools.hand.strain import strains_of

SOLO = """bar 1  tempo 120
1    3:5 h7 p5 3:7
2    2:5+1:8 -
3    2:8b10 r8
4    t2:15 p8 p5 .

bar 2
1    1:12 1:15 2:12 2:15
2    3:14b16
3-4  .
"""


def test_demands_of_a_solo() -> None:
    played = hand(SOLO)
    demands = demands_of(played)
    assert demands.rates[0] == Rate("picked", 5.0, 9 / 4)
    assert [rate.technique for rate in demands.rates] == ["picked", "legato", "tapped", "all"]
    assert demands.seconds == pytest.approx(3.0)
    assert str(demands.reach.at) == "1.2.1"
    assert demands.reach.mm == pytest.approx(played.neck.gap(5, 8))
    assert demands.reach.frets == (5, 8)
    assert demands.reach.fingers == (1, 4)
    assert str(demands.shift.at) == "2.1.1"
    assert demands.shift.positions == (5, 12)
    assert demands.shift.seconds == pytest.approx(0.25)
    assert demands.shift.needed < demands.shift.seconds
    assert (demands.bend.semitones, demands.bend.string, demands.bend.fret) == (2, 2, 8)
    assert str(demands.bend.at) == "1.3.1"
    assert demands.positions == (5, 12)


def test_demands_of_a_passage() -> None:
    played = hand(SOLO)
    second = [index for index, note in enumerate(played.timeline.notes) if note.address.bar == 2]
    demands = demands_of(played, range(second[0], second[-1] + 1))
    assert demands.positions == (12,)
    assert demands.reach is None
    assert str(demands.bend.at) == "2.2.1"
    assert demands.rates[0].top == 5
    assert demands.rates[2].top == 0
    assert demands.seconds == pytest.approx(1.0)


def test_demands_of_nothing() -> None:
    demands = demands_of(hand("bar 1\n1-4  .\n"))
    assert (demands.reach, demands.shift, demands.bend, demands.positions, demands.seconds) == (None, None, None, (), 0)
    assert all(rate.top == rate.sustained == 0 for rate in demands.rates)


def test_sustained_is_over_four_seconds() -> None:
    (picked, *_) = demands_of(hand(places([(3, 5), (3, 7)] * 32, tempo=120))).rates
    assert (picked.top, picked.sustained) == (8, 8)


def test_the_strain_of_each_bar() -> None:
    rest, reach, shift, bend, picking, legato = strains_of(
        hand(
            "bar 1\n1-4  .\n\n"
            "bar 2\n1-4  6:1+2:5\n\n"
            "bar 3\n1-4  .  6:3*3\n\n"
            "bar 4\n1-4  1:2b4\n\n"
            f"{line('3:5 3:6 3:5 3:6 ' * 4, tempo=190).replace('bar 1', 'bar 5')}\n"
            f"{line('3:5 h6 p5 h6 ' * 4, tempo=150).replace('bar 1', 'bar 6')}"
        )
    )
    assert (rest.bar, rest.strain, rest.what) == (1, 0, "")
    assert reach.what == "reach" and reach.strain == pytest.approx(126 / 130, abs=0.01)
    assert shift.strain < 0.3
    assert bend.what == "bend" and 0.4 < bend.strain < 1
    assert picking.what == "picking" and picking.strain == pytest.approx(13 / 21)
    assert legato.what == "legato" and 0 < legato.strain < 1


def test_beyond_the_limit_is_full_strain() -> None:
    assert strains_of(hand("bar 1\n1-4  6:1+2:9\n"))[0].strain == 1


@given(st.lists(st.tuples(st.integers(1, 6), st.integers(0, 22)), max_size=24))
def test_strain_lies_between_nothing_and_the_limit(spots: list[tuple[int, int]]) -> None:
    played = hand(places(spots or [(1, 1)]))
    strains = strains_of(played)
    assert [one.bar for one in strains] == [bar.number for bar in played.timeline.bars]
    assert all(0 <= one.strain <= 1 and bool(one.what) == (one.strain > 0) for one in strains)


def test_faster_is_more_strain() -> None:
    slow, fast = (strains_of(hand(places([(1, 1), (1, 12)] * 8, tempo=tempo)))[0].strain for tempo in (60, 120))
    assert slow < fast


def test_the_caution_says_to_warm_up_and_to_stop() -> None:
    assert "Warm up" in CAUTION and "stop when it hurts" in CAUTION
