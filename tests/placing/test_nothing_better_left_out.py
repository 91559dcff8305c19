"""What the search passes over is nothing better: with every state worked out, by every way, the best costs the same."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from every_way import found, least_cost
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import share
from unplaced import DEMO, demo_solo, without_places

from tabtools.hand.grip import Shape, Stop
from tabtools.hand.neck import Neck
from tabtools.hand.profile import DEFAULT_PROFILE
from tabtools.hand.stance import Stances
from tabtools.model.pitch import pitch_name
from tabtools.notation.build import read_solo
from tabtools.source import from_text
from tabtools.timeline import Timeline, timeline_of

WAYS = ("", "", "", "h", "p", "/")
SEEDS = share(60)
RINGING = {"bell-buoy", "letter-from-the-ferry"}
"""Strings ring on in them: more can be held at once than is followed."""
LOWEST, HIGHEST = 40, 79
STEPS = (-4, -3, -2, -1, 1, 2, 3, 4)

CHORDS = st.lists(st.integers(LOWEST, HIGHEST), min_size=1, max_size=5, unique=True)


def timeline(counts: list[str], tempo: int) -> Timeline:
    """Bars of four counts."""
    lines = [f"{number % 4 + 1}  {count}" for number, count in enumerate(counts)]
    bars = [f"bar {first // 4 + 1}\n" + "\n".join(lines[first : first + 4]) for first in range(0, len(lines), 4)]
    text = f"meter: 4/4\ntempo: {tempo}\n\n" + "\n\n".join(bars) + "\n"
    return timeline_of(read_solo(from_text(text)).solo)


@pytest.mark.parametrize("seed", range(SEEDS))
def test_of_melodies(seed: int) -> None:
    """Eight bars that go up and down by steps and thirds, slurred now and then."""
    dice = Random(seed)
    midi = dice.randint(52, 72)
    counts = []
    for _ in range(32):
        slots: list[str] = []
        for _ in range(dice.choice((1, 2, 2, 3))):
            step = dice.choice(STEPS)
            midi = midi + step if 45 <= midi + step <= HIGHEST else midi - step
            slots.append(f"{dice.choice(WAYS) if slots else ''}={pitch_name(midi)}")
        counts.append(" ".join(slots))
    melody = timeline(counts, dice.randint(60, 140))
    assert (found(melody).cost, found(melody).is_least) == (least_cost(melody), True)


@settings(max_examples=share(40), deadline=None)
@given(st.lists(CHORDS, min_size=2, max_size=8), st.integers(60, 240))
def test_of_chords(chords: list[list[int]], tempo: int) -> None:
    solo = timeline(["+".join(f"={pitch_name(midi)}" for midi in chord) for chord in chords], tempo)
    assert (found(solo).cost, found(solo).is_least) == (least_cost(solo), True)


@pytest.mark.parametrize("path", [path for path in DEMO if path.stem not in RINGING], ids=lambda path: path.stem)
def test_of_the_demo_solos(path: Path) -> None:
    solo = timeline_of(without_places(demo_solo(path))[0])
    assert (found(solo).cost, found(solo).is_least) == (least_cost(solo), True)


@pytest.mark.parametrize("stem", sorted(RINGING))
def test_it_is_said_where_not_all_is_followed(stem: str) -> None:
    (path,) = [path for path in DEMO if path.stem == stem]
    assert not found(timeline_of(without_places(demo_solo(path))[0])).is_least


@settings(max_examples=share(200), deadline=None)
@given(
    st.dictionaries(st.integers(1, 6), st.integers(1, 19), min_size=2, max_size=5),
    st.sampled_from([(), (6,), (1, 2)]),
    st.sampled_from([628.0, 648.0, 864.0]),
)
def test_no_grip_costs_less_than_its_frets(stops: dict[int, int], opens: tuple[int, ...], scale: float) -> None:
    stances = Stances(Neck(scale), DEFAULT_PROFILE)
    held = tuple(Stop(string, fret) for string, fret in sorted(stops.items()))
    shape = Shape(1, held, tuple(string for string in opens if string not in stops), stances, 8)
    frets = set(stops.values())
    assert stances.least(min(frets), max(frets), len(frets)) <= min(shape.costs)
