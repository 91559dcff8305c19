"""What the fretting hand must hold, moment by moment, read off a timeline.

A grasp is a moment at which a finger comes down: all the places held then, new ones and those that still
sound. Open strings, dead notes and taps of the other hand make none; a bend, a release or the same place
struck again goes on with the grasp there is. Moves within a slot (`3:5h7p5`) make a grasp each.
"""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.hand.grip import FINGERS, Grip, Shape, Stop
from tabtools.hand.moves import Moves
from tabtools.hand.string import String
from tabtools.hand.ties import Tie, Ties
from tabtools.model.solo import PITCH_MOVES, Fret
from tabtools.notation.marks import fret_named
from tabtools.timeline import TimedNote

JUST = 1e-6
PICKED_SECONDS = 1.0
"""So long a hand stays on a chord that was struck or sounded, while its strings are picked one by one (assumed)."""

FORCE_STEP, MOST_FORCE = 5.0, 6
Move = tuple[int, str, Fret]
"""A move within a slot: the index of its note, its sign, the fret it reaches."""
TIE_OF = {"h": Tie.LEGATO, "p": Tie.LEGATO, "/": Tie.SLIDE, "\\": Tie.SLIDE}


class Press:
    """A finger on a place until the string stops sounding at `end`.

    `note` is the index of the note it sounds, `tie` what it has to do with `origin`, the press that this one
    moves from; `grasp` is the one it comes down with, set once that is made. `led` is the finger of a figure that it
    belongs to, 0 where any will do.
    """

    grasp: Grasp

    __slots__ = ("declared", "end", "force", "fret", "grasp", "led", "note", "origin", "rings", "string", "tie")

    def __init__(self, string: int, fret: int, declared: int, end: float, note: int, via: str, origin: Press | None):
        self.string = string
        self.fret = fret
        self.declared = declared
        self.led = 0
        self.force = 0
        self.end = end
        self.note = note
        self.tie = TIE_OF.get(via, Tie.NONE) if origin is not None else Tie.NONE
        self.origin = origin
        self.rings = False

    @property
    def finger(self) -> int:
        """The finger chosen: 1 to 4, 5 the thumb, 0 when none is left."""
        grasp = self.grasp
        return grasp.grip.fingers[grasp.presses.index(self)]


class Grasp:
    """The places held from `start` on; `last` is when they were last struck, bent or let back.

    `struck_again` is how often its places are struck once more, `again` the press of the last time where there is one
    place. `shape` is set by `find_shape`, once the bends are known, `grip` by the fingering that chooses it.
    """

    shape: Shape
    grip: Grip

    __slots__ = ("again", "grip", "last", "opens", "presses", "shape", "start", "struck_again", "ties")

    def __init__(self, start: float, presses: tuple[Press, ...], opens: tuple[int, ...], ties: Ties):
        self.start = start
        self.last = start
        self.presses = presses
        self.opens = opens
        self.ties = ties
        self.struck_again = 0
        self.again: Press | None = None

    @property
    def struck(self) -> Press:
        """The first written of the places struck as this grasp begins."""
        if len(self.presses) == 1:
            return self.presses[0]
        return min((press for press in self.presses if press.grasp is self), key=lambda press: press.note)

    def find_shape(self, moves: Moves) -> Shape:
        """The shape of what is held, once the bends are known."""
        presses = self.presses
        if len(presses) == 1:
            press = presses[0]
            self.shape = moves.single(press.string, press.fret, press.declared or press.led, press.force)
        else:
            stops = tuple(
                [
                    Stop(press.string, press.fret, press.declared, press.force, press.rings and press.grasp is not self)
                    for press in presses
                ]
            )
            self.shape = moves.shape(stops, self.opens)
        return self.shape


class Grasping:
    """One walk over the notes: `grasps` in order, `pressed` the presses of each note, one for each fret it takes;
    `struck_open` are the notes of open strings, by their index."""

    def __init__(self, notes: Sequence[TimedNote], strings: Sequence[String], last_fret: int):
        self.notes = notes
        self.strings = strings
        self.last_fret = last_fret
        self.grasps: list[Grasp] = []
        self.pressed: list[tuple[Press, ...]] = [()] * len(notes)
        self.down: dict[int, Press] = {}
        self.open: dict[int, float] = {}
        self.struck_open: list[int] = []
        self.latest = 0.0
        self._walk()

    def _walk(self) -> None:
        notes, total = self.notes, len(self.notes)
        first = 0
        while first < total:
            following = first + 1
            while following < total and notes[following].part > 1:
                following += 1
            note = notes[first]
            self._release(note.start + JUST)
            if following == first + 1 and not note.marks and not note.motions:
                press = self._press(first, note)
                if press is not None:
                    self._grasp(note.start, [press])
            else:
                self._strike(first, following)
            first = following

    def _release(self, moment: float) -> None:
        """Fingers come off the strings that have stopped sounding."""
        if moment >= self.latest:
            if self.down:
                self.down = {}
            if self.open:
                self.open = {}
        else:
            self.down = {string: press for string, press in self.down.items() if press.end > moment}
            self.open = {string: end for string, end in self.open.items() if end > moment}

    def _strike(self, first: int, following: int) -> None:
        """One stroke: the notes from `first` up to but not including `following`."""
        new: dict[int, Press] = {}
        for index in range(first, following):
            press = self._press(index, self.notes[index])
            if press is not None:
                if press.string in new:
                    self.pressed[new[press.string].note] = ()
                new[press.string] = press
        if new:
            self._grasp(self.notes[first].start, list(new.values()))
        self._ornaments(first, following)

    def _press(self, index: int, note: TimedNote) -> Press | None:
        """The finger that this note puts down, if it does; a pitch move goes on with the one that is there."""
        origin = None
        via, string, fret, end = note.via, note.string, note.fret, note.end
        if note.origin is not None and (presses := self.pressed[note.origin]):
            origin = presses[-1]
        if end > self.latest:
            self.latest = end
        if via in PITCH_MOVES:
            if origin is not None:
                self._go_on(index, note, origin)
            return None
        if string in self.down:
            del self.down[string]
        if via == "t" or fret is None or not 1 <= string <= len(self.strings):
            return None
        if not fret:
            self.open[string] = end
            self.struck_open.append(index)
            return None
        if type(fret) is not int:
            fret = max(1, round(fret))
        if fret > self.last_fret:
            return None
        press = Press(string, fret, 0, end, index, via, origin)
        for mark in note.marks:
            if mark.word == "lh":
                press.declared = FINGERS.get(mark.argument, 0)
            elif mark.word == "ring":
                press.rings = True
        if note.note.touch is not None and note.note.fret is None:
            press.end = note.start
        else:
            self.down[string] = press
        self.pressed[index] = (press,)
        return press

    def _go_on(self, index: int, note: TimedNote, press: Press) -> None:
        self.pressed[index] = (press,)
        press.end = max(press.end, note.end)
        self.down[note.string] = press
        if press in self.grasps[-1].presses:
            self.grasps[-1].last = note.start
        if note.via == "b":
            self._bend(press, note.named)

    def _bend(self, press: Press, fret: Fret | None) -> None:
        if fret is not None and fret > press.fret:
            force = self.strings[press.string - 1].bend(press.fret, float(fret - press.fret)).force
            press.force = max(press.force, int(min(MOST_FORCE, force / FORCE_STEP)))

    def _grasp(self, start: float, new: list[Press]) -> None:
        down = self.down
        if len(new) == 1 and (not down or (len(down) == 1 and new[0].string in down)):
            presses: tuple[Press, ...] = (new[0],)
        else:
            held = {**down, **{press.string: press for press in new}}
            presses = tuple([held[string] for string in sorted(held)])
        last = self.grasps[-1] if self.grasps else None
        if last is not None:
            is_less = len(presses) < len(last.presses)
            if _is_picked(last, presses, start) if is_less else _same_places(last.presses, presses, start):
                self._strike_again(last, presses, start)
                return
        opens = tuple(sorted(self.open)) if len(presses) > 1 and self.open else ()
        ties = _ties(last.presses, presses, new) if last is not None else ()
        grasp = Grasp(start, presses, opens, ties)
        for press in new:
            press.grasp = grasp
        self.grasps.append(grasp)

    def _strike_again(self, last: Grasp, presses: tuple[Press, ...], start: float) -> None:
        """The same places once more, or some of them: the fingers that are there stay."""
        last.last = start
        last.struck_again += 1
        if len(last.presses) == 1:
            last.again = presses[0]
        struck = {press.string: press for press in presses}
        for old in last.presses:
            press = struck.get(old.string, old)
            if old is not press:
                old.end = press.end
                old.declared = old.declared or press.declared
                self.pressed[press.note] = (*self.pressed[press.note][:-1], old)
                if self.down.get(press.string) is press:
                    self.down[press.string] = old

    def part(self, number: int) -> None:
        """Part a grasp of one place that is struck twice into two, so that another finger can take the second."""
        grasp = self.grasps[number]
        old, press = grasp.presses[0], grasp.again
        assert press is not None
        start = self.notes[press.note].start
        second = Grasp(start, (press,), (), ())
        press.grasp, press.force, press.end, old.end = second, old.force, old.end, start
        grasp.last, grasp.again, grasp.struck_again = grasp.start, None, 0
        self.pressed[press.note] = tuple(press if one is old else one for one in self.pressed[press.note])
        self.grasps.insert(number + 1, second)

    # ---- moves within a slot

    def _ornaments(self, first: int, following: int) -> None:
        """The moves written within a slot share its time evenly; those of one stroke go together."""
        steps: list[list[Move]] = []
        for index in range(first, following):
            note = self.notes[index]
            if note.fret is None:
                continue
            moves = [(motion.sign, motion.fret) for motion in note.motions if motion.fret is not None]
            trills = [fret_named(mark.argument) for mark in note.marks if mark.word == "trill"]
            moves += [("h", fret) for fret in trills if fret is not None]
            for number, (sign, fret) in enumerate(moves):
                while len(steps) <= number:
                    steps.append([])
                steps[number].append((index, sign, fret))
        note = self.notes[first]
        for number, step in enumerate(steps, 1):
            self._step(note.start + (note.end - note.start) * number / (len(steps) + 1), step)

    def _step(self, start: float, step: list[Move]) -> None:
        new: dict[int, Press] = {}
        for index, sign, reached in step:
            note, presses = self.notes[index], self.pressed[index]
            if sign in ("b", "pb"):
                if presses:
                    self._bend(presses[-1], reached)
                continue
            fret = round(float(reached))
            if sign not in TIE_OF or not 1 <= note.string <= len(self.strings):
                continue
            self.down.pop(note.string, None)
            if 1 <= fret <= self.last_fret:
                origin = presses[-1] if presses else None
                press = Press(note.string, fret, 0, note.end, index, sign, origin)
                self.pressed[index] = (*presses, press)
                self.down[note.string] = press
                if note.string in new:
                    lost = new[note.string].note
                    self.pressed[lost] = self.pressed[lost][:-1]
                new[note.string] = press
        if new:
            self._grasp(start, list(new.values()))


def _ties(before: tuple[Press, ...], after: tuple[Press, ...], new: list[Press]) -> Ties:
    """What ties the stops of one grasp to those before: a string held on, or a move from one to the other."""
    if len(after) == 1:
        press = after[0]
        if not press.tie:
            return ()
        return tuple([(press.tie, index, 0) for index, old in enumerate(before) if old is press.origin])
    ties: list[tuple[Tie, int, int]] = []
    for following, press in enumerate(after):
        tie, origin = (press.tie, press.origin) if press in new else (Tie.HELD, press)
        if tie:
            ties.extend((tie, index, following) for index, old in enumerate(before) if old is origin)
    return tuple(ties)


def _is_picked(last: Grasp, presses: tuple[Press, ...], start: float) -> bool:
    """Whether strings are struck by themselves that were held together just before: a chord that is picked apart."""
    if start - max(last.last, *[old.end for old in last.presses]) > PICKED_SECONDS:
        return False
    places = {old.string: old for old in last.presses}
    return all(
        (old := places.get(press.string)) is press
        or (
            old is not None
            and old.fret == press.fret
            and not press.tie
            and not old.rings
            and press.declared in (0, old.declared)
        )
        for press in presses
    )


def _same_places(one: tuple[Press, ...], other: tuple[Press, ...], start: float) -> bool:
    """Whether the same places are struck again before the fingers have left them."""
    if one[0].fret != other[0].fret or one[0].string != other[0].string or len(one) != len(other):
        return False
    for old, press in zip(one, other, strict=True):
        if old.fret != press.fret or old.string != press.string or press.tie == Tie.SLIDE:
            return False
        if old.end < start - JUST or (press.declared and old.declared != press.declared):
            return False
    return True
