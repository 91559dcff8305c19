"""What the search leaves out is nothing better, of the demo solos and of melodies: with every choice and every way
looked at they cost the same."""

from __future__ import annotations

from math import inf
from pathlib import Path
from random import Random
from unittest.mock import patch

import pytest
from thoroughness import share
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
SEEDS = share(60)
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


@pytest.mark.parametrize("seed", range(SEEDS))
def test_of_melodies(seed: int) -> None:
    """Eight bars that go up and down by steps and thirds, slurred now and then."""
    dice = Random(seed)
    midi = dice.randint(52, 72)
    bars = []
    for number in range(1, 9):
        lines = [f"bar {number}"]
        for count in range(1, 5):
            slots = []
            for _ in range(dice.choice((1, 2, 2, 3))):
                step = dice.choice((-4, -3, -2, -1, 1, 2, 3, 4))
                midi = midi + step if 45 <= midi + step <= 79 else midi - step
                way = dice.choice(WAYS) if slots else ""
                slots.append(f"{way}={pitch_name(midi)}")
            lines.append(f"{count}  {' '.join(slots)}")
        bars.append("\n".join(lines))
    head = f"meter: 4/4\ntempo: {dice.randint(60, 140)}\n\n"
    timeline = timeline_of(read_solo(from_text(head + "\n\n".join(bars) + "\n")).solo)
    assert cost(timeline) == cost_of_every_way(timeline)


@pytest.mark.parametrize("path", [path for path in DEMO if path.stem != RINGING], ids=lambda path: path.stem)
def test_of_the_demo_solos(path: Path) -> None:
    timeline = timeline_of(without_places(demo_solo(path))[0])
    assert cost(timeline) == cost_of_every_way(timeline)
