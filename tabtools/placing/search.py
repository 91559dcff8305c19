"""The best places for a run of strokes, by dynamic programming over places and grips together.

The model is the hand's own (`hand.grip`, `hand.moves`), widened by the choice of a place for each note and by what
`taste` adds. What is found is the least cost there is, the hardest move first, as in `hand.fingering`: what is not
looked at costs no less (`arriving`). The work is linear in the number of strokes.

One bound there is: of strings that ring on while others are struck, every choice made since they began is a case of
its own. Of those the likeliest are followed (`MOST_STATES`), and `FoundPlaces.is_least` says that some were not.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from tabtools.hand.moves import Moves
from tabtools.hand.neck import Neck
from tabtools.hand.profile import HandProfile
from tabtools.placing.arriving import best_of, likeliest
from tabtools.placing.choices import Choice, Chooser
from tabtools.placing.following import Following
from tabtools.placing.state import State, way_back
from tabtools.placing.strokes import WantedStroke
from tabtools.placing.taste import BROKEN_COST, LEAP_COST_PER_MM

MOST_GRIPS = 8
"""Of a chord so many of its grips are looked at, the best by themselves."""
MOST_STATES, MOST_WORKED_OUT, MOST_BEHIND = 12, 17, 2000
"""While strings ring on, so many states are followed after each stroke, of so many that are worked out, none of which
seemed to cost so much more than the best."""


@lru_cache(maxsize=8)
def moves_for_placing(neck: Neck, profile: HandProfile) -> Moves:
    """The moves of a neck and a player, of chords with their best grips alone; leaps are avoided."""
    return Moves(neck, profile, MOST_GRIPS, LEAP_COST_PER_MM)


class FoundPlaces(NamedTuple):
    """A choice for every stroke, and what all of it costs; `is_least` says that nothing costs less."""

    choices: list[Choice]
    cost: int
    is_least: bool


def best_places(
    strokes: Sequence[WantedStroke], moves: Moves, chooser: Chooser, kept: WantedStroke | None = None
) -> FoundPlaces:
    """The best choice for every stroke; where there is none, one that leaves the notes looked for without a place.

    The stroke `kept` has its place in any case, even where a slur from or to it is broken by that.
    """
    states = [State.first()]
    is_least = True
    for stroke in strokes:
        choices = chooser.choices(stroke)
        following = Following(stroke, moves, chooser, states)
        found = following.states(choices)
        if not found:
            choices = choices if stroke is kept else [chooser.no_choice(stroke)]
            found = Following(stroke, moves, chooser, states, BROKEN_COST).states(choices)
        states = found
        if following.is_ringing and len(found) > MOST_STATES:
            states = likeliest(found, moves, MOST_WORKED_OUT, MOST_BEHIND)[:MOST_STATES]
            is_least = False
        best_of(states, moves)
    best = best_of(states, moves)
    return FoundPlaces(way_back(best), best.bound, is_least)
