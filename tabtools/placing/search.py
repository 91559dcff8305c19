"""The best places for a run of strokes, by dynamic programming over places and grips together.

The model is the hand's own (`hand.grip`, `hand.moves`), widened by the choice of a place for each note and by what
`taste` adds. What is found is the least cost there is, the hardest move first, as in `hand.fingering`, among what
`narrowing` leaves. The work is linear in the number of strokes. Of single notes every way is followed; of chords,
of notes that ring on and of long runs over open strings the likeliest: so many grips, ways and states as stand below.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from operator import add
from typing import NamedTuple

from tabtools.hand.grasp import JUST
from tabtools.hand.grip import BEND_FINGER_COST, Shape, Stop
from tabtools.hand.moves import Moves, Transition, strings_between
from tabtools.hand.neck import Neck
from tabtools.hand.profile import HandProfile
from tabtools.hand.stance import DOUBTFUL, level_weight, strain_weight
from tabtools.hand.ties import Tie, Ties
from tabtools.hand.ways import time_class
from tabtools.placing.choices import Choice, Chooser, Down, FingersDown
from tabtools.placing.narrowing import narrowed
from tabtools.placing.strokes import Option, WantedStroke
from tabtools.placing.taste import BROKEN_COST, CUT_COST, ELSEWHERE_COST

MOST_STATES, MOST_WAYS, MOST_CHORD_WAYS, MOST_GRIPS = 16, 160, 20, 8

Key = tuple[tuple[Option, ...], tuple[Down, ...], tuple[tuple[int, float], ...], float, int]
"""What tells states apart."""


class State:
    """Where the hand can be after a stroke: `values` are the least costs so far, for each grip of its shape.

    `presses` are the fingers of the last grasp, in order of strings, `last` is when they were last struck; `opens` are
    the open strings that may still sound, `edges` the ways here.
    """

    __slots__ = ("edges", "key", "last", "least", "opens", "options", "presses", "shape", "values")

    def __init__(
        self,
        options: tuple[Option, ...],
        presses: tuple[Down, ...],
        opens: tuple[tuple[int, float], ...],
        last: float,
        shape: Shape | None,
    ):
        self.options = options
        self.presses = presses
        self.opens = opens
        self.last = last
        self.shape = shape
        self.key: Key = (options, presses, opens, last, shape.id if shape is not None else 0)
        self.values = [0]
        self.least = 0
        self.edges: list[Edge] = []

    def take(self, values: list[int], edge: Edge) -> None:
        """Take new values, and the edge that brought them."""
        self.values = values
        self.least = min(values)
        self.edges.append(edge)


class Edge(NamedTuple):
    """A way to a state: from another by a move, or with the same grip for so much a grip."""

    before: State
    move: Transition | None
    costs: Sequence[int]
    choice: Choice | None


@lru_cache(maxsize=8)
def moves_for_placing(neck: Neck, profile: HandProfile) -> Moves:
    """The moves of a neck and a player, of chords with their best grips alone."""
    return Moves(neck, profile, MOST_GRIPS)


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
    found = _best(strokes, narrowed(strokes, every, moves, chooser.taste), moves, chooser, kept)
    is_easy = found.cost < level_weight(DOUBTFUL) and all(map(_is_whole, strokes, found.choices))
    return found if is_easy else _best(strokes, every, moves, chooser, kept)


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
    kept: WantedStroke | None,
) -> FoundPlaces:
    states = [State((), (), (), float("-inf"), None)]
    for stroke, some in zip(strokes, choices, strict=True):
        found = _Following(stroke, moves, chooser).states(some, states)
        if not found:
            some = some if stroke is kept else [chooser.no_choice(stroke)]
            found = _Following(stroke, moves, chooser, BROKEN_COST).states(some, states)
        states = found
    best = min(states, key=lambda state: state.least)
    return FoundPlaces(_way_back(best), best.least)


class _Following:
    """The states that follow others by one stroke; `broken` is what a slur costs that changes strings, if it may."""

    def __init__(self, stroke: WantedStroke, moves: Moves, chooser: Chooser, broken: int | None = None):
        self.stroke = stroke
        self.broken = broken
        self.moves = moves
        self.taste = chooser.taste
        self.sounding = stroke.start + JUST
        self.found: dict[Key, State] = {}

    def states(self, choices: Sequence[Choice], before: Sequence[State]) -> list[State]:
        """Every state that a choice leads to, the likeliest ways there tried first."""
        ways: list[tuple[int, int, int, Choice, State]] = []
        most = MOST_WAYS
        for choice in choices:
            for state in before:
                between = self._between(choice, state)
                if between is not None:
                    spread = self._spread(choice, state)
                    most = MOST_CHORD_WAYS if spread else most
                    cost = choice.cost + between
                    ways.append((state.least + cost + spread, len(ways), cost, choice, state))
        ways.sort()
        for _, _, cost, choice, state in ways[:most]:
            self._go(choice, state, cost)
        kept = list(self.found.values())
        return kept if len(kept) <= MOST_STATES else sorted(kept, key=lambda state: state.least)[:MOST_STATES]

    def _between(self, choice: Choice, state: State) -> int | None:
        """What taste says of going on to this choice; None where a slur would change its string."""
        if not state.options:
            return 0
        cost = 0
        before = state.options[0]
        for voice, option in zip(self.stroke.voices, choice.options, strict=True):
            note = voice.timed.note
            if note.via and before.string and option.string:
                if note.string is None and option.string != before.string:
                    if self.broken is None:
                        return None
                    cost += self.broken
                if note.string is not None and self.stroke.follows:
                    cost += 0 if any(one.string == option.string for one in state.options) else ELSEWHERE_COST
        cost += self.taste.between(before, choice.options[0])
        for press in state.presses:
            if press.rings and press.end > self.sounding:
                for option in choice.options:
                    if option.string == press.string and option.fret != press.fret:
                        cost += CUT_COST
        return cost

    def _spread(self, choice: Choice, state: State) -> int:
        """What at least it takes to hold all that sounds then: 0 for a single finger."""
        frets = [down.fret for down in choice.steps[0].downs] if choice.steps else []
        taken = [option.string for option in choice.options]
        frets += [one.fret for one in state.presses if one.end > self.sounding and one.string not in taken]
        if len(frets) < 2:
            return 0
        gap = self.moves.neck.gap(min(frets), max(frets))
        return 1 + int(gap) + strain_weight(self.moves.profile.reach[1, 4].strain(gap))

    def _go(self, choice: Choice, before: State, cost: int) -> None:
        """Take a choice from a state, to a new state or one that was found already."""
        opens = tuple(one for one in before.opens if one[1] > self.sounding) if before.opens else ()
        taken = [option.string for option in choice.options]
        if opens or choice.opens:
            opens = (*(one for one in opens if one[0] not in taken), *choice.opens)
        if not choice.steps:
            edge = Edge(before, None, [cost] * len(before.values), choice)
            presses = before.presses if self.stroke.moves_pitch else _lifted(before.presses, taken, self.stroke.start)
            self._reach(self.found, edge, State(choice.options, presses, opens, before.last, before.shape))
            return
        state = before
        for number, step in enumerate(choice.steps, 1):
            into = self.found if number == len(choice.steps) else {}
            first = choice if number == 1 else None
            state = self._grasp(step, state, choice.options, opens, (cost, first), into)

    def _grasp(
        self,
        step: FingersDown,
        before: State,
        options: tuple[Option, ...],
        opens: tuple[tuple[int, float], ...],
        by: tuple[int, Choice | None],
        found: dict[Key, State],
    ) -> State:
        """Fingers come down, those that are held stay; `by` is the choice that begins so, with its cost."""
        cost, choice = by if by[1] is not None else (0, None)
        new = {down.string: down for down in step.downs}
        taken = [option.string for option in options] if choice is not None else []
        held = {
            press.string: press
            for press in before.presses
            if press.end > self.sounding and press.string not in new and press.string not in taken
        }
        presses = step.downs
        if len(step.downs) > 1 or held:
            held.update(new)
            presses = tuple([held[string] for string in sorted(held)])
        if before.shape is not None and (costs := _again(before.presses, presses, step, before.shape)) is not None:
            edge = Edge(before, None, [cost + one for one in costs], choice)
            return self._reach(found, edge, State(options, presses, opens, step.start, before.shape))
        shape = self._shape(presses, new, opens)
        state = State(options, presses, opens, step.start, shape)
        known = found.get(state.key)
        if known is not None and self._is_no_better(known, state, before, step, cost):
            return known
        move = None
        if before.shape is not None:
            ties = _ties(before.presses, presses, step, self.stroke.start)
            time = time_class(step.start - before.last)
            move = self.moves.move(before.shape, shape, strings_between(before.presses, presses), time, ties)
        return self._reach(found, Edge(before, move, [cost], choice), state)

    def _is_no_better(self, known: State, state: State, before: State, step: FingersDown, cost: int) -> bool:
        """Whether another way to a known state can make none of its values smaller, whatever the moves cost."""
        one, other = before.shape, state.shape
        assert other is not None
        least = before.least + cost
        if one is None or len(one.stops) > 1 or len(other.stops) > 1 or any(step.ties):
            return all(least + grip >= value for grip, value in zip(other.costs, known.values, strict=True))
        shift, time = self.moves.ways.shift, time_class(step.start - before.last)
        for grip, whole, value in zip(other.grips, other.costs, known.values, strict=True):
            bound = least + whole
            if bound < value:
                position = grip.position
                nearest = min(max(position, one.lowest), one.highest)
                if nearest == position or bound + shift(nearest, position, time) < value:
                    return False
        return True

    def _shape(self, presses: tuple[Down, ...], new: dict[int, Down], opens: tuple[tuple[int, float], ...]) -> Shape:
        if len(presses) == 1:
            one = presses[0]
            return self.moves.single(one.string, one.fret, one.declared, one.force)
        stops = tuple(
            Stop(one.string, one.fret, one.declared, one.force, one.rings and one.string not in new) for one in presses
        )
        return self.moves.shape(stops, tuple(sorted({string for string, _ in opens})))

    def _reach(self, found: dict[Key, State], edge: Edge, state: State) -> State:
        """The state that an edge leads to, its values made as small as this way makes them."""
        before, shape = edge.before, state.shape
        if edge.move is not None:
            cost = edge.costs[0]
            values = [value + cost for value in edge.move.reach(before.values)]
        elif shape is before.shape:
            values = list(map(add, before.values, edge.costs))
        else:
            assert shape is not None
            values = [before.least + cost + edge.costs[0] for cost in shape.costs]
        known = found.get(state.key)
        if known is None:
            found[state.key] = known = state
        else:
            values = list(map(min, known.values, values))
        known.take(values, edge)
        return known


def _lifted(presses: tuple[Down, ...], strings: Sequence[int], moment: float) -> tuple[Down, ...]:
    """Fingers of a grasp, those on strings that are struck otherwise let go."""
    if not any(press.string in strings and press.end > moment for press in presses):
        return presses
    return tuple(press._replace(end=moment) if press.string in strings else press for press in presses)


def _again(before: tuple[Down, ...], presses: tuple[Down, ...], step: FingersDown, shape: Shape) -> list[int] | None:
    """What striking the same places again adds for each grip, a stiffer bend perhaps; None where they are others."""
    if len(before) != len(presses):
        return None
    for old, new in zip(before, presses, strict=True):
        if old.fret != new.fret or old.string != new.string or old.end < step.start - JUST:
            return None
        if new.declared and old.declared != new.declared:
            return None
    if Tie.SLIDE in step.ties:
        return None
    stiffer = [max(0, new.force - old.force) for old, new in zip(before, presses, strict=True)]
    if not any(stiffer):
        return [0] * len(shape.grips)
    return [
        sum(force * BEND_FINGER_COST[finger] for force, finger in zip(stiffer, grip.fingers, strict=True))
        for grip in shape.grips
    ]


def _ties(before: tuple[Down, ...], after: tuple[Down, ...], step: FingersDown, moment: float) -> Ties:
    """What ties the fingers of one grasp to those before that were down until this moment."""
    if len(after) == len(step.downs) and not any(step.ties):
        return ()
    tied = dict(zip([down.string for down in step.downs], step.ties, strict=True))
    places = {press.string: index for index, press in enumerate(before) if press.end >= moment - JUST}
    return tuple(
        (tie, places[press.string], following)
        for following, press in enumerate(after)
        if (tie := tied.get(press.string, Tie.HELD)) and press.string in places
    )


def _way_back(state: State) -> list[Choice]:
    """The choices that lead to a state."""
    chosen: list[Choice] = []
    grip = state.values.index(state.least)
    while state.edges:
        edge, grip = _edge_of(state, grip)
        if edge.choice is not None:
            chosen.append(edge.choice)
        state = edge.before
    return chosen[::-1]


def _edge_of(state: State, grip: int) -> tuple[Edge, int]:
    """The edge by which a grip has its value, and the grip that it comes from."""
    value = state.values[grip]
    for edge in state.edges:
        values = edge.before.values
        if edge.move is not None:
            sums = list(map(add, values, edge.move.column(grip)))
            least = min(sums)
            if least + edge.costs[0] == value:
                return edge, sums.index(least)
        elif state.shape is edge.before.shape:
            if values[grip] + edge.costs[grip] == value:
                return edge, grip
        elif state.shape is not None and edge.before.least + state.shape.costs[grip] + edge.costs[0] == value:
            return edge, values.index(edge.before.least)
    raise AssertionError("no way leads here")
