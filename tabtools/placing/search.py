"""The best places for a run of strokes, by dynamic programming over places and grips together.

The model is the hand's own (`hand.grip`, `hand.moves`), widened by the choice of a place for each note and by what
`taste` adds. What is found is the least cost there is, the hardest move first, as in `hand.fingering`, among what
`narrowing` leaves and `following` follows. The work is linear in the number of strokes.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import inf
from typing import NamedTuple

from tabtools.hand.moves import Moves
from tabtools.hand.neck import Neck
from tabtools.hand.profile import HandProfile
from tabtools.hand.stance import DOUBTFUL, level_weight
from tabtools.placing.choices import Choice, Chooser
from tabtools.placing.following import MOST_BEHIND, MOST_GRIPS, Following
from tabtools.placing.narrowing import narrowed
from tabtools.placing.state import State, way_back
from tabtools.placing.strokes import WantedStroke
from tabtools.placing.taste import BROKEN_COST, LEAP_COST_PER_MM


@lru_cache(maxsize=8)
def moves_for_placing(neck: Neck, profile: HandProfile) -> Moves:
    """The moves of a neck and a player, of chords with their best grips alone; leaps are avoided."""
    return Moves(neck, profile, MOST_GRIPS, LEAP_COST_PER_MM)


class FoundPlaces(NamedTuple):
    """A choice for every stroke, and what all of it costs."""

    choices: list[Choice]
    cost: int


def best_places(
    strokes: Sequence[WantedStroke], moves: Moves, chooser: Chooser, kept: WantedStroke | None = None
) -> FoundPlaces:
    """The best choice for every stroke; where there is none, one that leaves the notes looked for without a place.

    The stroke `kept` has its place in any case, even where a slur from or to it is broken by that.
    """
    every = [chooser.choices(stroke) for stroke in strokes]
    found = _best(strokes, narrowed(strokes, every, moves, chooser.taste), moves, chooser, MOST_BEHIND, kept)
    is_easy = found.cost < level_weight(DOUBTFUL) and all(map(_is_whole, strokes, found.choices))
    return found if is_easy else _best(strokes, every, moves, chooser, inf, kept)


def _is_whole(stroke: WantedStroke, choice: Choice) -> bool:
    """Whether every note that a place is looked for has one."""
    return all(
        option.string or not voice.is_chosen for voice, option in zip(stroke.voices, choice.options, strict=True)
    )


def _best(
    strokes: Sequence[WantedStroke],
    choices: Sequence[list[Choice]],
    moves: Moves,
    chooser: Chooser,
    behind: float,
    kept: WantedStroke | None,
) -> FoundPlaces:
    states = [State((), (), (), 0.0, None)]
    for stroke, some in zip(strokes, choices, strict=True):
        found = Following(stroke, moves, chooser, behind).states(some, states)
        if not found:
            some = some if stroke is kept else [chooser.no_choice(stroke)]
            found = Following(stroke, moves, chooser, behind, BROKEN_COST).states(some, states)
        states = found
    best = min(states, key=lambda state: state.least)
    return FoundPlaces(way_back(best), best.least)
