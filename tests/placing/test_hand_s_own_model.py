"""The search for places reckons as the fingering does: a solo that is placed already costs both the same."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import share
from unplaced import DEMO

from tabtools.hand.fingering import choose_grips
from tabtools.hand.grasp import Grasping
from tabtools.hand.moves import Moves
from tabtools.hand.neck import neck_of
from tabtools.hand.profile import DEFAULT_PROFILE, profile_for
from tabtools.hand.string import strings_of
from tabtools.notation.build import read_solo
from tabtools.placing import following
from tabtools.placing.choices import Chooser
from tabtools.placing.search import best_places
from tabtools.placing.strokes import Option, strokes_of
from tabtools.placing.taste import Taste
from tabtools.placing.wish import NO_WISH
from tabtools.source import from_text
from tabtools.timeline import timeline_of


def costs(text: str) -> tuple[int, int]:
    """What the fingering of a placed solo costs, and what the search for places says, taste left out."""
    timeline = timeline_of(read_solo(from_text(text)).solo)
    header = timeline.solo.header
    instrument, profile = header.instrument, profile_for(header, DEFAULT_PROFILE)
    neck = neck_of(instrument)
    grasps = Grasping(timeline.notes, strings_of(instrument), neck.frets).grasps
    fingered = choose_grips(grasps, Moves(neck, profile))
    taste = Taste(instrument, profile)
    strokes = strokes_of(timeline.notes, instrument, NO_WISH)
    found = best_places(strokes, Moves(neck, profile), Chooser(taste, NO_WISH))
    places: list[tuple[Option, ...]] = [choice.options for choice in found.choices]
    return fingered, found.cost - sum(taste.between(one, other) for one, other in pairwise(places))


RINGING_SLIDE = "letter-from-the-ferry"
"""A slide within a slot whose note rings on: the fingering times it by the ringing, behind the strokes that follow."""


@pytest.mark.parametrize("path", [path for path in DEMO if path.stem != RINGING_SLIDE], ids=lambda path: path.stem)
def test_demo_solos_cost_what_their_fingering_costs(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(following, "CUT_COST", 0)
    monkeypatch.setattr(following, "ELSEWHERE_COST", 0)
    fingered, placed = costs(path.read_text(encoding="utf-8"))
    assert placed == fingered


@settings(max_examples=share(40), deadline=None)
@given(st.lists(st.tuples(st.integers(1, 6), st.integers(0, 15)), min_size=1, max_size=12))
def test_any_line_costs_what_its_fingering_costs(spots: list[tuple[int, int]]) -> None:
    line = " ".join(f"{string}:{fret}" for string, fret in spots)
    fingered, placed = costs(f"meter: 4/4\n\nbar 1\n1-4  {line}\n")
    assert placed == fingered
