"""What the search leaves out, it leaves out for good: with every choice and every way looked at, nothing is better."""

from __future__ import annotations

from math import inf
from pathlib import Path
from random import Random
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import share
from thrown_solos import any_solo
from unplaced import DEMO, demo_solo, without_places

from tabtools.hand.neck import neck_of
from tabtools.hand.profile import DEFAULT_PROFILE, profile_for
from tabtools.model.pitch import pitch_name
from tabtools.notation.build import read_solo
from tabtools.placing import narrowing, search
from tabtools.placing.choices import Chooser
from tabtools.placing.placed import written_notes
from tabtools.placing.search import best_places, moves_for_placing
from tabtools.placing.strokes import strokes_of
from tabtools.placing.taste import Taste
from tabtools.placing.wish import NO_WISH
from tabtools.source import from_text
from tabtools.timeline import Timeline, timeline_of

WAYS = ("", "", "", "h", "p", "/")
RINGING = "letter-from-the-ferry"
"""Everything rings on in it: more can be held at once than is followed."""


def cost(timeline: Timeline) -> int:
    """What the places found cost."""
    header = timeline.solo.header
    profile = profile_for(header, DEFAULT_PROFILE)
    strokes = strokes_of(written_notes(timeline), header.instrument, NO_WISH)
    moves = moves_for_placing(neck_of(header.instrument), profile)
    return best_places(strokes, moves, Chooser(Taste(header.instrument, profile), NO_WISH)).cost


def cost_of_every_way(timeline: Timeline) -> int:
    """The same, nothing left out for being a long way off or far behind."""
    with patch.object(narrowing, "MOST_DETOUR", inf), patch.object(search, "MOST_BEHIND", inf):
        return cost(timeline)


def unplaced(text: str) -> Timeline:
    return timeline_of(without_places(read_solo(from_text(text)).solo)[0])


@settings(max_examples=share(80), deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(WAYS), st.integers(-7, 7)), min_size=1, max_size=24),
    st.integers(45, 76),
    st.integers(50, 240),
)
def test_of_any_line(steps: list[tuple[str, int]], midi: int, tempo: int) -> None:
    slots = []
    for way, step in steps:
        midi = max(40, min(86, midi + step))
        slots.append(f"{way if slots and step else ''}={pitch_name(midi)}")
    beats = [" ".join(slots[first : first + 3]) for first in range(0, len(slots), 3)]
    lines = "\n".join(f"{count}  {beat}" for count, beat in enumerate(beats, 1))
    timeline = timeline_of(read_solo(from_text(f"meter: 8/4\ntempo: {tempo}\n\nbar 1\n{lines}\n")).solo)
    assert cost(timeline) == cost_of_every_way(timeline)


@settings(max_examples=share(60), deadline=None)
@given(st.integers(0, 2**40))
def test_of_any_solo(seed: int) -> None:
    timeline = unplaced(any_solo(Random(seed)))
    assert cost(timeline) <= cost_of_every_way(timeline)


@pytest.mark.parametrize("path", [path for path in DEMO if path.stem != RINGING], ids=lambda path: path.stem)
def test_of_the_demo_solos(path: Path) -> None:
    timeline = timeline_of(without_places(demo_solo(path))[0])
    assert cost(timeline) == cost_of_every_way(timeline)
