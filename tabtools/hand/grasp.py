"""What the fretting hand must hold, moment by moment, read off a timeline.

A grasp is a moment at which a finger comes down: all the places held then, new ones and those that still
sound. Open strings, dead notes and taps of the other hand make none; a bend, a release or the same place
struck again goes on with the grasp there is. Moves within a slot (`3:5h7p5`) make a grasp each.
"""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.hand.grip import FINGERS, Grip, Shape, Stop
from tabtools.hand.moves import Moves, Tie, Ties
from tabtools.hand.string import String
from tabtools.model.solo import PITCH_MOVES, Mark, Motion
from tabtools.timeline import TimedNote

JUST = 1e-6
FORCE_STEP, MOST_FORCE = 5.0, 6
TIE_OF = {"h": Tie.LEGATO, "p": Tie.LEGATO, "/": Tie.SLIDE, "\\": Tie.SLIDE}


class Press:
    """A finger on a place from `start` until the string stops sounding. `note` is the index of the note it sounds."""

    __slots__ = ("declared", "end", "finger", "force", "fret", "grasp", "note", "string")

    def __init__(self, string: int, fret: int, declared: int, end: float, note: int):
        self.string = string
        self.fret = fret
        self.declared = declared
        self.force = 0
        self.end = end
        self.note = note
        self.finger = 0
        self.grasp: Grasp | None = None


class Grasp:
    """The places held from `start` on; `last` is when they were last struck. `grip` is chosen by the fingering."""

    __slots__ = ("grip", "last", "opens", "presses", "shape", "start", "ties")

    def __init__(self, start: float, presses: tuple[Press, ...], opens: tuple[int, ...], ties: Ties):
        self.start = start
        self.last = start
        self.presses = presses
        self.opens = opens
        self.ties = ties
        self.shape: Shape | None = None
        self.grip: Grip | None = None

    @property
    def struck(self) -> Press:
        """The first of the places struck as this grasp begins."""
        return next(press for press in self.presses if press.grasp is self)

    def find_shape(self, moves: Moves) -> Shape:
        """The shape of what is held, once the bends are known."""
        if len(self.presses) == 1:
            press = self.presses[0]
            self.shape = moves.shape((Stop(press.string, press.fret, press.declared, press.force),))
        else:
            stops = tuple([Stop(press.string, press.fret, press.declared, press.force) for press in self.presses])
            self.shape = moves.shape(stops, self.opens)
        return self.shape


class Grasping:
    """One walk over the notes: `grasps` in order, `pressed` the presses of each note, one for each fret it takes."""

    def __init__(self, notes: Sequence[TimedNote], strings: Sequence[String], last_fret: int):
        self.notes = notes
        self.strings = strings
        self.last_fret = last_fret
        self.grasps: list[Grasp] = []
        self.pressed: list[tuple[Press, ...]] = [()] * len(notes)
        self.down: dict[int, Press] = {}
        self.open: dict[int, float] = {}
        self._walk()

    def _walk(self) -> None:
        notes, total = self.notes, len(self.notes)
        first = 0
        while first < total:
            following = first + 1
            while following < total and notes[following].part > 1:
                following += 1
            self._strike(first, following)
            first = following

    def _strike(self, first: int, following: int) -> None:
        """One stroke: the notes from `first` up to but not including `following`."""
        notes = self.notes
        start = notes[first].start
        limit = start + JUST
        before = self.down
        if before:
            self.down = {string: press for string, press in before.items() if press.end > limit}
        if self.open:
            self.open = {string: end for string, end in self.open.items() if end > limit}
        new: list[tuple[Press, Tie, Press | None]] = []
        moving = False
        for index in range(first, following):
            note = notes[index]
            made = self._press(index, note)
            if made is not None:
                new.append(made)
            if note.note.motions:
                moving = True
        if new:
            self._grasp(start, new)
        if moving or any(note.marks for note in notes[first:following]):
            self._ornaments(first, following)

    def _press(self, index: int, note: TimedNote) -> tuple[Press, Tie, Press | None] | None:
        """The finger that this note puts down, if it does; a pitch move goes on with the one that is there."""
        origin = self._origin(note)
        if note.via in PITCH_MOVES:
            if origin is not None:
                self.pressed[index] = (origin,)
                origin.end = max(origin.end, note.end)
                self.down[note.string] = origin
                if note.via == "b":
                    self._bend(origin, note.note.fret)
            return None
        self.down.pop(note.string, None)
        if note.via == "t" or note.fret is None or not 1 <= note.string <= len(self.strings):
            return None
        fret = max(1, round(note.fret)) if note.fret else 0
        if not fret or fret > self.last_fret:
            if not fret:
                self.open[note.string] = note.end
            return None
        harmonic = note.note.fret is None
        press = Press(note.string, fret, _declared(note.marks), note.start if harmonic else note.end, index)
        if not harmonic:
            self.down[note.string] = press
        self.pressed[index] = (press,)
        return press, TIE_OF.get(note.via, Tie.NONE) if origin is not None else Tie.NONE, origin

    def _origin(self, note: TimedNote) -> Press | None:
        """The finger that holds the note this one moves from."""
        if note.origin is None:
            return None
        presses = self.pressed[note.origin]
        return presses[-1] if presses else None

    def _bend(self, press: Press, fret: object) -> None:
        if fret is not None and fret > press.fret:
            force = self.strings[press.string - 1].bend(press.fret, float(fret - press.fret)).force
            press.force = max(press.force, min(MOST_FORCE, int(force / FORCE_STEP)))

    def _grasp(self, start: float, new: list[tuple[Press, Tie, Press | None]]) -> None:
        last = self.grasps[-1] if self.grasps else None
        down = self.down
        if len(new) == 1 and (not down or (len(down) == 1 and new[0][0].string in down)):
            presses = (new[0][0],)
        else:
            held = {**down, **{press.string: press for press, _, _ in new}}
            presses = tuple([held[string] for string in sorted(held)])
        if last is not None and not any(tie for _, tie, _ in new) and _same_places(last.presses, presses):
            self._strike_again(last, presses, start)
            return
        ties = self._ties(last, presses, new) if last is not None else ()
        opens = tuple(sorted(self.open)) if len(presses) > 1 and self.open else ()
        grasp = Grasp(start, presses, opens, ties)
        for press, _, _ in new:
            press.grasp = grasp
        self.grasps.append(grasp)

    def _strike_again(self, last: Grasp, presses: tuple[Press, ...], start: float) -> None:
        """The same places once more: the fingers that are there stay."""
        last.last = start
        for old, press in zip(last.presses, presses, strict=True):
            if old is not press:
                old.end = press.end
                old.declared = old.declared or press.declared
                self.pressed[press.note] = (old,)
                if self.down.get(press.string) is press:
                    self.down[press.string] = old

    def _ties(self, last: Grasp, presses: tuple[Press, ...], new: list[tuple[Press, Tie, Press | None]]) -> Ties:
        if len(presses) == 1:
            _, tie, origin = new[0]
            if not tie:
                return ()
            return tuple((tie, index, 0) for index, old in enumerate(last.presses) if old is origin)
        tie_of = {id(press): (tie, origin) for press, tie, origin in new}
        ties = []
        for following, press in enumerate(presses):
            tie, origin = tie_of.get(id(press), (Tie.HELD, press))
            if tie:
                ties.extend((tie, index, following) for index, old in enumerate(last.presses) if old is origin)
        return tuple(ties)

    # ---- moves within a slot

    def _ornaments(self, first: int, following: int) -> None:
        """The moves written within a slot share its time evenly; those of one stroke go together."""
        steps: list[list[tuple[int, Motion]]] = []
        for index in range(first, following):
            note = self.notes[index]
            if note.fret is None:
                continue
            moves = [motion for motion in note.note.motions if motion.fret is not None]
            moves += [Motion("h", mark.argument) for mark in note.marks if _is_trill(mark)]
            for step, motion in enumerate(moves):
                while len(steps) <= step:
                    steps.append([])
                steps[step].append((index, motion))
        note = self.notes[first]
        for number, step in enumerate(steps, 1):
            self._step(note.start + (note.end - note.start) * number / (len(steps) + 1), step)

    def _step(self, start: float, step: list[tuple[int, Motion]]) -> None:
        new = []
        for index, motion in step:
            note, presses = self.notes[index], self.pressed[index]
            if motion.sign in ("b", "pb"):
                if presses:
                    self._bend(presses[-1], motion.fret)
                continue
            fret = round(float(motion.fret))
            if motion.sign not in TIE_OF or not 1 <= note.string <= len(self.strings):
                continue
            self.down.pop(note.string, None)
            if not 1 <= fret <= self.last_fret:
                continue
            press = Press(note.string, fret, 0, note.end, index)
            self.pressed[index] = (*presses, press)
            self.down[note.string] = press
            origin = presses[-1] if presses else None
            new.append((press, TIE_OF[motion.sign] if origin is not None else Tie.NONE, origin))
        if new:
            self._grasp(start, new)


def _same_places(one: tuple[Press, ...], other: tuple[Press, ...]) -> bool:
    return len(one) == len(other) and all(
        a.string == b.string and a.fret == b.fret and (not b.declared or a.declared == b.declared)
        for a, b in zip(one, other, strict=True)
    )


def _declared(marks: tuple[Mark, ...]) -> int:
    for mark in marks:
        if mark.word == "lh":
            return FINGERS.get(mark.argument, 0)
    return 0


def _is_trill(mark: Mark) -> bool:
    return mark.word == "trill" and mark.argument.isdigit()
