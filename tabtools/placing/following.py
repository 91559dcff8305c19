"""From the states after a stroke to those after the next: fingers come down, stay, are held or let go.

Of single notes every way is followed; of chords, of notes that ring on and of long runs over open strings the
likeliest: so many grips, ways and states as stand below.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from operator import add
from typing import NamedTuple

from tabtools.hand.grasp import JUST, PICKED_SECONDS
from tabtools.hand.grip import BEND_FINGER_COST, Shape, Stop
from tabtools.hand.moves import Moves, strings_between
from tabtools.hand.stance import strain_weight
from tabtools.hand.ties import Tie, Ties
from tabtools.hand.ways import time_class
from tabtools.placing.choices import Choice, Chooser, Down, FingersDown
from tabtools.placing.state import Edge, Held, Key, Opens, State
from tabtools.placing.strokes import Option, WantedStroke
from tabtools.placing.taste import CUT_COST, ELSEWHERE_COST

MOST_STATES, MOST_WAYS, MOST_CHORD_WAYS, MOST_GRIPS = 12, 160, 17, 8
MOST_BEHIND = 1000
"""What costs so much more than the best way to the same stroke is not followed; hard moves are a level of their own."""

FARTHEST_FRETS = 5
"""No finger stands farther from the first, stretched as it may be."""


class _Before(NamedTuple):
    """A state as a stroke begins: the fingers and the open strings that still sound then, the time since the last."""

    state: State
    held: Held
    opens: Opens
    time: int


class Following:
    """The states that follow others by one stroke; `broken` is what a slur costs that changes strings, if it may.

    `behind` is how much more than the best of them any of them may cost.
    """

    def __init__(
        self,
        stroke: WantedStroke,
        moves: Moves,
        chooser: Chooser,
        behind: float,
        broken: int | None = None,
    ):
        self.stroke = stroke
        self.behind = behind
        self.broken = broken
        self.moves = moves
        self.taste = chooser.taste
        self.sounding = stroke.start + JUST
        self.goes_on = any(voice.timed.note.via for voice in stroke.voices)
        self.found: dict[Key, State] = {}
        self.goals: dict[tuple[int, Held, Opens], State] = {}

    def states(self, choices: Sequence[Choice], states: Sequence[State]) -> list[State]:
        """Every state that a choice leads to, the likeliest ways there tried first."""
        ways: list[tuple[int, int, int, Choice, _Before]] = []
        most = MOST_WAYS
        start = self.stroke.start
        befores = [
            _Before(state, self._held(state), self._still_open(state), time_class(start - state.last))
            for state in states
        ]
        for choice in choices:
            alone = self._spread(choice, ())
            step = choice.steps[0] if len(choice.steps) == 1 and not alone and not choice.steps[0].is_tied else None
            for before in befores:
                between = self._between(choice, before)
                if between is not None:
                    spread = self._spread(choice, before.held) if before.held else alone
                    most = MOST_CHORD_WAYS if spread else most
                    cost = choice.cost + between
                    if step is not None and not before.held:
                        spread = self._shift(step.downs[0].fret, before)
                    ways.append((before.state.least + cost + spread, len(ways), cost, choice, before))
        ways.sort()
        best = inf
        for least, _, cost, choice, before in ways[:most]:
            if least > best + self.behind:
                break
            best = min(best, self._go(choice, before, cost).least)
        kept = [state for state in self.found.values() if state.least <= best + self.behind]
        return kept if len(kept) <= MOST_STATES else sorted(kept, key=lambda state: state.least)[:MOST_STATES]

    def _shift(self, fret: int, before: _Before) -> int:
        """What at least it takes to come to a single finger at a fret."""
        shape = before.state.shape
        if shape is None:
            return 0
        lowest = max(1, fret - FARTHEST_FRETS)
        if shape.highest < lowest:
            return self.moves.ways.shift(shape.highest, lowest, before.time)
        return self.moves.ways.shift(shape.lowest, fret, before.time) if fret < shape.lowest else 0

    def _held(self, state: State) -> Held:
        presses = state.presses
        if len(presses) == 1:
            return presses if presses[0].end > self.sounding else ()
        return tuple([press for press in presses if press.end > self.sounding])

    def _still_open(self, state: State) -> Opens:
        return tuple([one for one in state.opens if one[1] > self.sounding]) if state.opens else ()

    def _between(self, choice: Choice, before: _Before) -> int | None:
        """What taste says of going on to this choice; None where a slur would change its string."""
        options = before.state.options
        if not options:
            return 0
        cost = self.taste.between(options, choice.options)
        if self.goes_on:
            slurs = self._slurs(choice, options)
            if slurs is None:
                return None
            cost += slurs
        for press in before.held:
            if press.rings:
                for option in choice.options:
                    if option.string == press.string and option.fret != press.fret:
                        cost += CUT_COST
        return cost

    def _slurs(self, choice: Choice, options: tuple[Option, ...]) -> int | None:
        """What it costs that notes go on from others on another string; None where they cannot."""
        cost = 0
        before = options[0].string
        for voice, option in zip(self.stroke.voices, choice.options, strict=True):
            note = voice.timed.note
            if note.via and before and option.string:
                if note.string is None and option.string != before:
                    if self.broken is None:
                        return None
                    cost += self.broken
                if note.string is not None and self.stroke.follows:
                    cost += 0 if any(one.string == option.string for one in options) else ELSEWHERE_COST
        return cost

    def _spread(self, choice: Choice, held: Held) -> int:
        """What at least it takes to hold all that sounds then: 0 for a single finger."""
        downs = choice.steps[0].downs if choice.steps else ()
        if len(downs) + len(held) < 2:
            return 0
        frets = [down.fret for down in (*downs, *_others(held, choice.options))]
        if len(frets) < 2:
            return 0
        gap = self.moves.neck.gap(min(frets), max(frets))
        return 1 + int(gap) + strain_weight(self.moves.profile.reach[1, 4].strain(gap))

    def _go(self, choice: Choice, one: _Before, cost: int) -> State:
        """Take a choice from a state, to a new state or one that was found already."""
        before, opens = one.state, one.opens
        if opens or choice.opens:
            taken = [option.string for option in choice.options]
            opens = (*[other for other in opens if other[0] not in taken], *choice.opens)
        if not choice.steps:
            edge = Edge(before, None, [cost] * len(before.values), choice)
            presses, last = before.presses, before.last
            if not self.stroke.moves_pitch:
                presses = self._lifted(presses, choice.options)
            elif any(press.string == option.string for press in presses for option in choice.options):
                last = self.stroke.start
            return self._reach(edge, State(choice.options, presses, opens, last, before.shape), self.found)
        held = _others(one.held, choice.options)
        if len(choice.steps) == 1:
            key = id(choice), held, opens
            goal = self.goals.get(key)
            if goal is None:
                goal = self._goal(choice.steps[0], held, choice.options, opens)
                goal = self.goals[key] = self.found.get(goal.key, goal)
            return self._grasp(choice.steps[0], one, goal, (cost, choice), self.found)
        by: tuple[int, Choice | None] = (cost, choice)
        for step in choice.steps:
            goal = self._goal(step, held, choice.options, opens)
            one = _Before(before, held, opens, time_class(step.start - before.last))
            before = self._grasp(step, one, goal, by, self.found if step is choice.steps[-1] else {})
            held, by = self._held(before), (0, None)
        return before

    def _lifted(self, presses: tuple[Down, ...], options: tuple[Option, ...]) -> tuple[Down, ...]:
        """Fingers of a grasp, those on strings that are struck otherwise let go."""
        moment = self.stroke.start
        strings = [option.string for option in options]
        if not any(press.string in strings and press.end > moment for press in presses):
            return presses
        return tuple(press._replace(end=moment) if press.string in strings else press for press in presses)

    def _goal(self, step: FingersDown, held: Held, options: tuple[Option, ...], opens: Opens) -> State:
        """Where these fingers are down besides those that are held."""
        downs = step.downs
        if len(downs) == 1 and all(press.string == downs[0].string for press in held):
            (one,) = downs
            shape = self.moves.single(one.string, one.fret, one.declared, one.force)
            return State(options, downs, opens, step.start, shape)
        new = {down.string: down for down in downs}
        every = {press.string: press for press in held} | new
        presses = tuple([every[string] for string in sorted(every)])
        stops = tuple(
            [
                Stop(one.string, one.fret, one.declared, one.force, one.rings and one.string not in new)
                for one in presses
            ]
        )
        shape = self.moves.shape(stops, tuple(sorted({string for string, _ in opens})))
        return State(options, presses, opens, step.start, shape)

    def _grasp(
        self, step: FingersDown, one: _Before, goal: State, by: tuple[int, Choice | None], found: dict[Key, State]
    ) -> State:
        """Fingers come down, those that are held stay; `by` is the choice that begins so, with its cost."""
        before, (cost, choice) = one.state, by
        presses, olds = goal.presses, before.presses
        if before.shape is None:
            return self._reach(Edge(before, None, [cost], choice), goal, found)
        if len(presses) == len(olds):
            if presses[0].fret == olds[0].fret and presses[0].string == olds[0].string:
                costs = _again(olds, presses, step, before.shape)
                if costs is not None:
                    edge = Edge(before, None, [cost + one for one in costs], choice)
                    again = State(goal.options, presses, goal.opens, step.start, before.shape)
                    return self._reach(edge, again, found)
        elif len(presses) < len(olds):
            picked = _picked(before, presses, step)
            if picked is not None:
                edge = Edge(before, None, [cost] * len(before.values), choice)
                return self._reach(edge, State(goal.options, picked, goal.opens, step.start, before.shape), found)
        assert goal.shape is not None
        if goal.edges and self._is_no_better(goal, before, step, one.time, cost):
            return goal
        ties = _ties(olds, presses, step, self.stroke.start) if step.is_tied or len(presses) > len(step.downs) else ()
        move = self.moves.move(before.shape, goal.shape, strings_between(olds, presses), one.time, ties)
        return self._reach(Edge(before, move, [cost], choice), goal, found)

    def _is_no_better(self, known: State, before: State, step: FingersDown, time: int, cost: int) -> bool:
        """Whether another way to a known state can make none of its values smaller, whatever the moves cost."""
        one, other = before.shape, known.shape
        assert one is not None
        assert other is not None
        least = before.least + cost
        if least + min(other.costs) >= max(known.values):
            return True
        if len(one.stops) > 1 or len(other.stops) > 1 or step.is_tied:
            return all(least + grip >= value for grip, value in zip(other.costs, known.values, strict=True))
        shifts = self.moves.ways.shifts
        lowest, highest = one.lowest, one.highest
        for grip, whole, value in zip(other.grips, other.costs, known.values, strict=True):
            bound = least + whole
            if bound < value:
                position = grip.position
                if lowest <= position <= highest:
                    return False
                if bound + shifts(position, time)[highest if position > highest else lowest] < value:
                    return False
        return True

    def _reach(self, edge: Edge, state: State, found: dict[Key, State]) -> State:
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
        if state.edges:
            state.take(list(map(min, state.values, values)), edge)
            return state
        known = found.get(state.key)
        if known is None:
            found[state.key] = state
            state.take(values, edge)
            return state
        known.take(list(map(min, known.values, values)), edge)
        return known


def _others(held: Held, options: tuple[Option, ...]) -> Held:
    """The fingers that are held, but for those on strings that are struck."""
    if not held:
        return ()
    taken = [option.string for option in options]
    return tuple([press for press in held if press.string not in taken])


def _again(before: tuple[Down, ...], presses: tuple[Down, ...], step: FingersDown, shape: Shape) -> list[int] | None:
    """What striking the same places again adds for each grip, a stiffer bend perhaps; None where they are others."""
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


def _picked(before: State, presses: tuple[Down, ...], step: FingersDown) -> tuple[Down, ...] | None:
    """The fingers of a chord some strings of which are struck by themselves; None where others are, as in
    `hand.grasp`."""
    if step.start - before.last > PICKED_SECONDS or step.is_tied:
        return None
    places = {old.string: old for old in before.presses}
    struck = {down.string: down for down in step.downs}
    for press in presses:
        old = places.get(press.string)
        if old is None or old.fret != press.fret:
            return None
        if press.string in struck and (old.rings or press.declared not in (0, old.declared) or press.force > old.force):
            return None
    return tuple(
        [struck.get(old.string, old)._replace(force=old.force, declared=old.declared) for old in before.presses]
    )


def _ties(before: tuple[Down, ...], after: tuple[Down, ...], step: FingersDown, moment: float) -> Ties:
    """What ties the fingers of one grasp to those before that were down until this moment."""
    tied = dict(zip([down.string for down in step.downs], step.ties, strict=True))
    places = {press.string: index for index, press in enumerate(before) if press.end >= moment - JUST}
    return tuple(
        (tie, places[press.string], following)
        for following, press in enumerate(after)
        if (tie := tied.get(press.string, Tie.HELD)) and press.string in places
    )
