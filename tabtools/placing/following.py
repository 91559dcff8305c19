"""From the states after a stroke to those after the next: fingers come down, stay, are held or let go.

What a way costs depends on the choice and on the state it comes from alone: on what tells that state apart
(`state.Key`), of whose `options` it is the places of the stroke just before. A cost that looks farther back has to be
told there first, and makes as many more states as there are answers. No move of the
hand costs less than nothing, and no grip less than `Stances.least` says of its frets.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from tabtools.hand.changes import MOST_GUIDED
from tabtools.hand.grasp import JUST, PICKED_SECONDS
from tabtools.hand.grip import Stop, is_open_chord
from tabtools.hand.moves import Moves
from tabtools.hand.stance import THUMB
from tabtools.hand.ties import Tie
from tabtools.hand.ways import GUIDED_SHARE, time_class
from tabtools.placing.choices import Choice, Chooser, Down, FingersDown
from tabtools.placing.state import Before, Held, Key, Opens, Several, State
from tabtools.placing.strokes import Option, WantedStroke
from tabtools.placing.taste import CUT_COST, ELSEWHERE_COST

FARTHEST_FRETS = 5
"""No finger stands farther from the first, stretched as it may be."""


class Following:
    """The states that follow others by one stroke; `broken` is what a slur costs that changes strings, if it may."""

    def __init__(
        self,
        stroke: WantedStroke,
        moves: Moves,
        chooser: Chooser,
        states: Sequence[State],
        broken: int | None = None,
    ):
        self.stroke = stroke
        self.broken = broken
        self.moves = moves
        self.chooser = chooser
        self.sounding = stroke.start + JUST
        self.goes_on = any(voice.timed.note.via for voice in stroke.voices)
        self.found: dict[Key, State] = {}
        self.befores = [self._before(state, stroke.start) for state in states]
        self.is_ringing = any(before.held or before.opens for before in self.befores)

    def states(self, choices: Sequence[Choice]) -> list[State]:
        """Every state that a choice leads to, none of them worked out yet."""
        for choice in choices:
            comers = [(before, cost) for before in self.befores if (cost := self._cost(choice, before)) is not None]
            if not choice.steps:
                for before, cost in comers:
                    self._stay(choice, before, cost)
                continue
            first = choice.steps[0].start
            if first > self.stroke.start:
                comers = [(self._before(before.state, first), cost) for before, cost in comers]
            for step, following in pairwise(choice.steps):
                comers = [(self._before(state, following.start), 0) for state in self._come({}, choice, step, comers)]
            self._come(self.found, choice, choice.steps[-1], comers)
        return list(self.found.values())

    def _before(self, state: State, moment: float) -> Before:
        """A state as the stroke begins, or the next of the moves within it."""
        held = tuple([press for press in state.presses if press.end > self.sounding])
        opens = tuple([one for one in state.opens if one[1] > self.sounding]) if state.opens else ()
        return Before(state, held, opens, time_class(moment - state.last))

    def _cost(self, choice: Choice, before: Before) -> int | None:
        """What the choice costs, and going on to it; None where a slur would change its string."""
        options = before.state.options
        if not options:
            return choice.cost
        cost = choice.cost + self.chooser.between(options, choice.options)
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

    def _stay(self, choice: Choice, before: Before, cost: int) -> None:
        """Take a choice for which no finger comes down."""
        one = before.state
        presses, last = one.presses, one.last
        if not self.stroke.moves_pitch:
            presses = self._lifted(presses, choice.options)
        elif any(press.string == option.string for press in presses for option in choice.options):
            last = self.stroke.start
        state = State((choice.options, presses, _opens(choice, before), last, one.form), self.stroke.start, choice)
        self._reach(self.found, state, before, cost, 0, (0,) * len(presses))

    def _come(
        self, found: dict[Key, State], choice: Choice, step: FingersDown, comers: Sequence[tuple[Before, int]]
    ) -> Iterable[State]:
        """The states in which the fingers of a step have come down, those that are held stay."""
        is_first = step is choice.steps[0]
        goals: dict[tuple[Held, Opens], State] = {}
        for before, cost in comers:
            opens, held = before.opens, before.held
            if is_first:
                opens = _opens(choice, before)
                held = _others(held, choice.options) if held else ()
            goal = goals.get((held, opens))
            if goal is None:
                goal = goals[held, opens] = self._goal(choice, step, held, opens)
            self._grasp(found, step, before, goal, cost)
        return found.values()

    def _lifted(self, presses: tuple[Down, ...], options: tuple[Option, ...]) -> tuple[Down, ...]:
        """Fingers of a grasp, those on strings that are struck otherwise let go."""
        moment = self.stroke.start
        strings = [option.string for option in options]
        if not any(press.string in strings and press.end > moment for press in presses):
            return presses
        return tuple(press._replace(end=moment) if press.string in strings else press for press in presses)

    def _goal(self, choice: Choice, step: FingersDown, held: Held, opens: Opens) -> State:
        """Where these fingers are down besides those that are held."""
        downs = step.downs
        first = choice if step is choice.steps[0] else None
        if len(downs) == 1 and all(press.string == downs[0].string for press in held):
            (one,) = downs
            key = choice.options, downs, opens, step.start, (one.fret, one.declared, one.force)
            goal = State(key, self.stroke.start, first, step)
            shape = goal.shape = self.moves.single(one.string, one.fret, one.declared, one.force)
            goal.floor, goal.lowest, goal.highest = min(shape.costs), shape.lowest, shape.highest
            return goal
        new = {down.string: down for down in downs}
        every = {press.string: press for press in held} | new
        presses = tuple([every[string] for string in sorted(every)])
        stops = tuple(
            [
                Stop(one.string, one.fret, one.declared, one.force, one.rings and one.string not in new)
                for one in presses
            ]
        )
        form = Several(stops, tuple(sorted({string for string, _ in opens})))
        goal = State((choice.options, presses, opens, step.start, form), self.stroke.start, first, step)
        frets = [stop.fret for stop in stops]
        lowest, highest = min(frets), max(frets)
        goal.lowest, goal.highest = max(1, lowest - FARTHEST_FRETS), highest
        if not any(stop.declared == THUMB for stop in stops):
            least = self.moves.stances.least(lowest, highest, len(set(frets)))
            if any(stop.rings or stop.force for stop in stops):
                goal.likely = least
            else:
                goal.floor = least
        return goal

    def _grasp(self, found: dict[Key, State], step: FingersDown, before: Before, goal: State, cost: int) -> None:
        """Fingers come down, those that are held stay."""
        state = before.state
        presses, olds = goal.presses, state.presses
        if state.form is None:
            self._reach(found, goal, before, cost, 0, None)
            return
        if len(presses) == len(olds):
            if presses[0].fret == olds[0].fret and presses[0].string == olds[0].string:
                stiffer = _again(olds, presses, step)
                if stiffer is not None:
                    again = State((*goal.key[:4], state.form), goal.moment, goal.choice, step)
                    self._reach(found, again, before, cost, 0, stiffer)
                    return
        elif len(presses) < len(olds):
            picked = _picked(state, presses, step)
            if picked is not None:
                key = goal.options, picked, goal.opens, goal.last, state.form
                there = State(key, goal.moment, goal.choice, step)
                self._reach(found, there, before, cost, 0, (0,) * len(picked))
                return
        self._reach(found, goal, before, cost, self._shift(goal, before), None)

    def _shift(self, goal: State, before: Before) -> int:
        """What at least it takes to come to where the hand is then; nothing where it is tied or stays at the nut."""
        state, step = before.state, goal.step
        assert step is not None
        several = len(goal.presses)
        if step.is_tied or several > len(step.downs) or (_is_at_the_nut(goal) and _is_at_the_nut(state)):
            return 0
        if state.highest < goal.lowest:
            shift = self.moves.ways.shift(state.highest, goal.lowest, before.time)
        elif goal.highest < state.lowest:
            shift = self.moves.ways.shift(state.lowest, goal.highest, before.time)
        else:
            return 0
        is_free = several > MOST_GUIDED or several == len(state.presses) == 1
        return shift if is_free else int(GUIDED_SHARE * shift)

    def _reach(
        self,
        found: dict[Key, State],
        state: State,
        before: Before,
        cost: int,
        shift: int,
        stiffer: tuple[int, ...] | None,
    ) -> None:
        """A way to a state, or to the one that is the same."""
        known = found.setdefault(state.key, state)
        one = before.state
        if stiffer is not None and not known.ways:
            known.lowest, known.highest, known.shape = one.lowest, one.highest, one.shape
        bound = one.bound + cost + shift
        whole = bound if stiffer is not None else bound + known.floor
        if not known.ways or whole < known.bound:
            known.bound = whole
        known.ways.append((bound, len(known.ways), cost + shift, cost, before, stiffer))


def _is_at_the_nut(state: State) -> bool:
    """Whether one of the open chords is held: from one to another nothing shifts."""
    return isinstance(state.form, Several) and is_open_chord(*state.form)


def _opens(choice: Choice, before: Before) -> Opens:
    """The open strings that sound when a choice is taken."""
    if not (before.opens or choice.opens):
        return ()
    taken = [option.string for option in choice.options]
    return (*[other for other in before.opens if other[0] not in taken], *choice.opens)


def _others(held: Held, options: tuple[Option, ...]) -> Held:
    """The fingers that are held, but for those on strings that are struck."""
    taken = [option.string for option in options]
    return tuple([press for press in held if press.string not in taken])


def _again(before: Held, presses: Held, step: FingersDown) -> tuple[int, ...] | None:
    """By how much each finger bends more where the same places are struck again; None where they are others."""
    for old, new in zip(before, presses, strict=True):
        if old.fret != new.fret or old.string != new.string or old.end < step.start - JUST:
            return None
        if new.declared and old.declared != new.declared:
            return None
    if Tie.SLIDE in step.ties:
        return None
    return tuple([max(0, new.force - old.force) for old, new in zip(before, presses, strict=True)])


def _picked(before: State, presses: Held, step: FingersDown) -> Held | None:
    """The fingers of a chord some strings of which are struck by themselves; None where others are, as in
    `hand.grasp`."""
    sounded = max(before.last, *[old.end for old in before.presses])
    if step.start - sounded > PICKED_SECONDS or step.is_tied:
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
