"""The search for places with nothing passed over: every state is worked out, by every way there is."""

from __future__ import annotations

from collections.abc import Sequence
from unittest.mock import patch

from tabtools.hand.moves import Moves
from tabtools.hand.neck import neck_of
from tabtools.hand.profile import DEFAULT_PROFILE, profile_for
from tabtools.placing import arriving
from tabtools.placing.choices import Chooser
from tabtools.placing.following import Following
from tabtools.placing.placed import written_notes
from tabtools.placing.search import FoundPlaces, best_places, moves_for_placing
from tabtools.placing.state import State
from tabtools.placing.strokes import WantedStroke, strokes_of
from tabtools.placing.taste import BROKEN_COST, Taste
from tabtools.placing.wish import NO_WISH
from tabtools.timeline import Timeline

NOTHING = -(1 << 200)
"""A bound that passes nothing over."""


def found(timeline: Timeline) -> FoundPlaces:
    """What the search finds."""
    return best_places(*_problem(timeline))


def least_cost(timeline: Timeline) -> int:
    """What the best places cost, whatever the search says."""
    strokes, moves, chooser = _problem(timeline)
    states = [State.first()]
    with patch.object(arriving, "_is_no_better", lambda *_: False):
        for stroke in strokes:
            states = _after(stroke, moves, chooser, states)
            for state in states:
                _without_bounds(state)
                arriving.work_out(state, moves)
    return min(state.bound for state in states)


def _problem(timeline: Timeline) -> tuple[list[WantedStroke], Moves, Chooser]:
    header = timeline.solo.header
    profile = profile_for(header, DEFAULT_PROFILE)
    strokes = strokes_of(written_notes(timeline), header.instrument, NO_WISH)
    moves = moves_for_placing(neck_of(header.instrument), profile)
    return strokes, moves, Chooser(Taste(header.instrument, profile), NO_WISH)


def _after(stroke: WantedStroke, moves: Moves, chooser: Chooser, states: Sequence[State]) -> list[State]:
    found = Following(stroke, moves, chooser, states).states(chooser.choices(stroke))
    return found or Following(stroke, moves, chooser, states, BROKEN_COST).states([chooser.no_choice(stroke)])


def _without_bounds(state: State) -> None:
    for _, _, _, _, before, _ in state.ways:
        if not before.state.is_known:
            _without_bounds(before.state)
    state.ways = [(bound, number, NOTHING, *rest) for bound, number, _, *rest in state.ways]
