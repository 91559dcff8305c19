"""From the grips of one shape to those of another, where fingers are tied or several strings are held.

Every grip has its own way to every other. Few of them matter: those from the grips that cost least so far are worked
out, and others only as long as they could be better.
"""

from __future__ import annotations

from collections.abc import Sequence
from operator import itemgetter

from tabtools.hand.grip import Grip, Shape, Stop
from tabtools.hand.stance import BARELY, level_weight
from tabtools.hand.steps import IMPOSSIBLE, RESETTLE_COST, SLUR_SETTLE_COST, Columns, legato_cost, slide_cost
from tabtools.hand.ties import Tie, Ties, is_bound
from tabtools.hand.ways import GUIDED_SHARE, SAME_FINGER_COST, Ways

PLACE_COST, PLACE_COST_PER_STRING = 15, 5

BUSY_COST = 150
"""A finger that hammers on while it has only just left another place; none can so wait for a pull-off."""

MOST_GUIDED = 3
"""A finger that stays on its string leads double stops and triads; fuller chords come down as they are."""

OTHER_FINGERS_COST = 400
"""Other fingers for a grip that moves along the neck as it is: octaves keep their pair (common practice)."""

GUIDE_COST = 200
"""Another finger on the lower string from sixth to sixth: it stays there and leads the way (common practice)."""

LET_GO = level_weight(BARELY)
"""A string that is marked to ring is stopped early."""

Stops = tuple[Stop, ...]


class Changes:
    """The ways from each grip of a shape to each of another, each worked out when it is asked for."""

    __slots__ = (
        "_after",
        "_at_the_nut",
        "_before",
        "_can_be_guided",
        "_costs",
        "_held_after",
        "_held_before",
        "_is_led_by_the_lower",
        "_loose",
        "_moves_along",
        "_stops",
        "_ties",
        "_time",
        "_ways",
    )

    def __init__(self, before: Shape, after: Shape, stops: tuple[Stops, Stops], time: int, ties: Ties, ways: Ways):
        self._before = before.grips
        self._after = list(zip(after.grips, after.costs, strict=True))
        self._stops = stops
        self._ties = ties
        self._time = time
        self._ways = ways
        self._can_be_guided = after.strings <= MOST_GUIDED
        self._moves_along = len(stops[0]) == len(stops[1]) > 1 and _moves_along(*stops)
        self._at_the_nut = before.is_open_chord and after.is_open_chord
        self._is_led_by_the_lower = _are_sixths(*stops)
        tied = [following for _, _, following in ties]
        self._loose = [following for following in range(len(stops[1])) if following not in tied]
        held = [(index, following) for tie, index, following in ties if tie == Tie.HELD]
        self._held_before = _fingers(before, [index for index, _ in held])
        self._held_after = _fingers(after, [following for _, following in held])
        unknown = [None] * len(before.grips)
        self._costs: list[list[int | None]] = [[*unknown] for _ in after.grips]

    def reach(self, values: Sequence[int]) -> list[int]:
        """The least cost of each grip after, by the costs so far of those before."""
        order = sorted(range(len(values)), key=values.__getitem__)
        reached = []
        for grip, held in enumerate(self._held_after):
            best = None
            if held and all(held):
                alike = [index for index in order if self._held_before[index] == held]
                best = self._least(values, alike, grip, None)
            if best is None or best >= IMPOSSIBLE:
                best = self._least(values, order, grip, best)
            assert best is not None
            reached.append(best)
        return reached

    def better(self, values: Sequence[int], cost: int, known: list[int]) -> list[int]:
        """The least cost of each grip after by this way and `cost` besides, or as `known` where that is no more."""
        order = sorted(range(len(values)), key=values.__getitem__)
        least = [self._least(values, order, grip, value - cost) for grip, value in enumerate(known)]
        better = [value if one is None else one + cost for value, one in zip(known, least, strict=True)]
        return known if better == known else better

    def _least(self, values: Sequence[int], order: Sequence[int], grip: int, best: int | None) -> int | None:
        """The least cost of a grip by some of those before, in order of what they cost so far."""
        known, own = self._costs[grip], self._after[grip][1]
        for index in order:
            value = values[index]
            if best is not None and value + own >= best:
                break
            cost = known[index]
            value += self._new_cost(index, grip) if cost is None else cost
            if best is None or value < best:
                best = value
        return best

    def column(self, grip: int) -> list[int]:
        """What it costs to come to a grip from each before, its own cost included."""
        costs = enumerate(self._costs[grip])
        return [self._new_cost(index, grip) if cost is None else cost for index, cost in costs]

    def _new_cost(self, index: int, grip: int) -> int:
        other, own = self._after[grip]
        cost = self._costs[grip][index] = own + self._change(self._before[index], other)
        return cost

    def _change(self, one: Grip, other: Grip) -> int:
        cost = self._tied(one, other)
        if cost >= IMPOSSIBLE:
            return IMPOSSIBLE
        before, after = self._stops
        is_guided = False
        for following in self._loose:
            finger = other.fingers[following]
            if finger and finger in one.fingers:
                old, new = before[_last(one.fingers, finger)], after[following]
                if old.string != new.string:
                    cost += PLACE_COST + PLACE_COST_PER_STRING * abs(old.string - new.string)
                elif old.fret != new.fret:
                    is_laid = len(other.frets) == 1
                    cost += SAME_FINGER_COST if is_laid else PLACE_COST
                    is_guided = is_guided or is_laid or one.fingers.count(finger) == other.fingers.count(finger)
        if not is_bound(self._ties, one, other):
            guided = GUIDED_SHARE if is_guided and self._can_be_guided else 1.0
            cost += self._ways.change(one, other, self._time, 0.0 if self._at_the_nut else guided)
        if self._is_led_by_the_lower and one.fingers[1] != other.fingers[1]:
            cost += GUIDE_COST
        if self._moves_along and one.fingers != other.fingers and len(one.frets) == len(other.frets) > 1:
            cost += OTHER_FINGERS_COST
        return cost

    def _tied(self, one: Grip, other: Grip) -> int:
        """What the fingers that are tied cost. One impossibility is as bad as several."""
        cost = 0
        before, after = self._stops
        for tie, index, following in self._ties:
            finger, next_finger = one.fingers[index], other.fingers[following]
            if tie == Tie.HELD:
                if finger == next_finger:
                    cost += RESETTLE_COST * abs(one.position - other.position)
                elif next_finger:
                    return IMPOSSIBLE
                else:
                    cost += LET_GO
            elif finger and next_finger:
                frets = before[index].fret, after[following].fret
                cost += (self._legato if tie == Tie.LEGATO else self._slide)(finger, next_finger, frets, one, other)
                if cost >= IMPOSSIBLE:
                    return IMPOSSIBLE
        return cost

    def _legato(self, finger: int, following: int, frets: tuple[int, int], one: Grip, other: Grip) -> int:
        """Two fingers of one hand on one string, and those that are down before."""
        cost = legato_cost(finger, following, frets, self._ways) + SLUR_SETTLE_COST * abs(one.position - other.position)
        if frets[1] < frets[0]:
            return cost + self._waiting(one, following, frets[1])
        return cost + (BUSY_COST if following in one.fingers else 0)

    def _waiting(self, one: Grip, finger: int, fret: int) -> int:
        """A finger waits for a pull-off while the grip before is still held: it must be free and not cross."""
        for stop, held in zip(self._stops[0], one.fingers, strict=True):
            if held == finger or (held and (held < finger) != (stop.fret <= fret) and stop.fret != fret):
                return IMPOSSIBLE
        return 0

    def _slide(self, finger: int, following: int, frets: tuple[int, int], one: Grip, other: Grip) -> int:
        """One finger stays on its string and takes the hand along."""
        out_of_place = abs((frets[0] - one.position) - (frets[1] - other.position))
        return slide_cost(finger, following, frets, self._ways) + RESETTLE_COST * out_of_place


class FewChanges(Columns):
    """So few changes that all of them are worked out at once."""

    __slots__ = ("_changes",)

    def __init__(self, before: Shape, after: Shape, changes: Changes):
        super().__init__(before, after)
        self._changes = changes

    def _column(self, number: int) -> list[int]:
        return self._changes.column(number)


def _fingers(shape: Shape, some: Sequence[int]) -> list[tuple[int, ...]]:
    """The fingers of each grip on some of its stops."""
    if not some:
        return [()] * len(shape.grips)
    if len(some) == 1:
        return [grip.fingers[some[0] : some[0] + 1] for grip in shape.grips]
    of = itemgetter(*some)
    return [of(grip.fingers) for grip in shape.grips]


def _last(fingers: Sequence[int], finger: int) -> int:
    """The place of the last of these fingers that is this one."""
    return len(fingers) - 1 - fingers[::-1].index(finger)


def _moves_along(before: Stops, after: Stops) -> bool:
    """Whether as many strings, the same ones, are held as far apart as before, at other frets."""
    further = after[0].fret - before[0].fret
    return further != 0 and all(
        old.string == new.string and new.fret - old.fret == further for old, new in zip(before, after, strict=True)
    )


def _are_sixths(before: Stops, after: Stops) -> bool:
    """Whether both hold the same two strings with one between, and neither spreads over more than two frets."""
    strings = [[stop.string for stop in stops] for stops in (before, after)]
    if strings[0] != strings[1] or len(before) != 2 or strings[0][1] - strings[0][0] != 2:
        return False
    return all(abs(stops[0].fret - stops[1].fret) <= 1 for stops in (before, after))
