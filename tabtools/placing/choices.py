"""Everything one stroke can be at: a place for each of its notes, and the fingers that come down for it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import NamedTuple

from tabtools.hand.grasp import FORCE_STEP, MOST_FORCE, TIE_OF
from tabtools.hand.places import WIDEST_FRETS
from tabtools.hand.ties import Tie
from tabtools.model.solo import PITCH_MOVES, Fret
from tabtools.placing.strokes import NOWHERE, Option, WantedNote, WantedStroke
from tabtools.placing.taste import Taste
from tabtools.placing.wish import Wish

MOST_TRIED, MOST_CHOICES = 4000, 60
"""Of a chord's places so many are looked at, and so many of these, the nearest to each other, kept."""


CHORD = 3
"""So many notes at once are a chord."""


class Down(NamedTuple):
    """A finger on a place until `end`; see `hand.grip.Stop`."""

    string: int
    fret: int
    declared: int
    force: int
    end: float
    rings: bool


class FingersDown(NamedTuple):
    """Fingers come down at a moment, each tied to what was on its string before, or not; whether any of them is."""

    start: float
    downs: tuple[Down, ...]
    ties: tuple[Tie, ...]
    is_tied: bool


class Choice(NamedTuple):
    """A place for each note of a stroke.

    `steps` are the fingers it takes: at its beginning, unless there are none, then those of the moves within its
    slot. `opens` are open strings with the moment they end. `cost` is what taste says of the places alone.
    """

    options: tuple[Option, ...]
    steps: tuple[FingersDown, ...]
    opens: tuple[tuple[int, float], ...]
    cost: int


class Chooser:
    """The choices of strokes on one neck."""

    def __init__(self, taste: Taste, wish: Wish):
        self.taste = taste
        self.wish = wish
        self.last_fret = taste.neck.frets
        self._places: dict[tuple[int, int, bool], int] = {}
        self._between: dict[tuple[int, Fret | None, int, Fret | None], int] = {}

    def choices(self, stroke: WantedStroke) -> list[Choice]:
        """Every choice of a stroke, the best in themselves first; none where its notes cannot sound together."""
        if len(stroke.voices) == 1:
            (voice,) = stroke.voices
            if voice.bent or voice.trills:
                return [self._choice(stroke, (option,)) for option in voice.options]
            return [
                self._choice(stroke, (option,))
                if option.goals or type(option.fret) is not int
                else self._plain(stroke, option, option.fret)
                for option in voice.options
            ]
        placed = list(islice(self._together(stroke, ()), MOST_TRIED))
        placed.sort(key=self._width)
        return [self._choice(stroke, options) for options in placed[:MOST_CHOICES]]

    def no_choice(self, stroke: WantedStroke) -> Choice:
        """A stroke whose notes that are looked for get no place."""
        options = [NOWHERE if voice.is_chosen or not voice.options else voice.options[0] for voice in stroke.voices]
        return self._choice(stroke, tuple(options))

    def _together(self, stroke: WantedStroke, placed: tuple[Option, ...]) -> Iterator[tuple[Option, ...]]:
        """Places on strings of their own, near each other where there is a choice."""
        if len(placed) == len(stroke.voices):
            yield placed
            return
        voice = stroke.voices[len(placed)]
        for option in voice.options:
            if stroke.moves_pitch or all(
                _go_together(voice, option, *other) for other in zip(stroke.voices, placed, strict=False)
            ):
                yield from self._together(stroke, (*placed, option))

    def _width(self, options: tuple[Option, ...]) -> float:
        frets = [float(option.fret) for option in options if option.fret]
        return max(frets) - min(frets) if frets else 0.0

    def _plain(self, stroke: WantedStroke, option: Option, fret: int) -> Choice:
        """A single note that goes nowhere: the same as `_choice`, which has to look at everything there can be."""
        (voice,) = stroke.voices
        string, via = option.string, voice.timed.via
        cost = self._place(string, fret, False) + self._outside(voice, option) if voice.is_chosen else 0
        if via in PITCH_MOVES or not 1 <= string <= len(self.taste.strings):
            return Choice((option,), (), (), cost)
        if fret == 0 and via != "t":
            return Choice((option,), (), ((string, voice.end),), cost)
        if via == "t" or not 1 <= fret <= self.last_fret:
            return Choice((option,), (), (), cost)
        tie = TIE_OF.get(via, Tie.NONE) if stroke.follows else Tie.NONE
        down = Down(string, fret, voice.declared, 0, voice.end, voice.rings)
        return Choice((option,), (FingersDown(stroke.start, (down,), (tie,), tie != Tie.NONE),), (), cost)

    def _place(self, string: int, fret: int, is_chord: bool) -> int:
        """What taste says of a place, asked once."""
        key = string, fret, is_chord
        cost = self._places.get(key)
        if cost is None:
            cost = self._places[key] = self.taste.place((string, fret), self.wish, is_chord)
        return cost

    def between(self, before: tuple[Option, ...], after: tuple[Option, ...]) -> int:
        """What taste says of going from the places of a stroke to those of the next; asked once of single notes."""
        if len(before) > 1 or len(after) > 1:
            return self.taste.between(before, after)
        one, other = before[0], after[0]
        key = one.string, one.fret, other.string, other.fret
        cost = self._between.get(key)
        if cost is None:
            cost = self._between[key] = self.taste.between(before, after)
        return cost

    def _outside(self, voice: WantedNote, option: Option) -> int:
        """What it costs to be out of the position asked for; a slide may lead there."""
        if self.wish.position is None or TIE_OF.get(voice.timed.via) == Tie.SLIDE:
            return 0
        return self.taste.outside(option, voice.options, self.wish)

    def _choice(self, stroke: WantedStroke, options: tuple[Option, ...]) -> Choice:
        cost = 0
        is_chord = len(options) >= CHORD
        if len(options) > 1 and any(voice.is_chosen for voice in stroke.voices):
            cost += self.taste.together(options, self.wish)
        opens = []
        steps: list[dict[int, tuple[Down, Tie]]] = [{}]
        for voice, option in zip(stroke.voices, options, strict=True):
            string, via = option.string, voice.timed.via
            if voice.is_chosen and option.fret is not None:
                cost += self._place(string, round(option.fret), is_chord) + self._outside(voice, option)
            if via in PITCH_MOVES or not 1 <= string <= len(self.taste.strings):
                continue
            if option.fret == 0 and via != "t":
                opens.append((string, voice.end))
            for number, (sign, fret, heights) in enumerate(self._touched(voice, option)):
                if len(steps) <= number:
                    steps.append({})
                force = 0
                for height in heights:
                    force = max(force, self._force(string, fret, height))
                    cost += self.taste.bend((string, fret), height) if voice.is_chosen else 0
                if sign == "t" or not 1 <= fret <= self.last_fret:
                    continue
                declared = 0 if number else voice.declared
                tie = TIE_OF.get(sign, Tie.NONE) if number or stroke.follows else Tie.NONE
                steps[number][string] = Down(string, fret, declared, force, voice.end, voice.rings), tie
        length = stroke.voices[0].timed.end - stroke.start
        return Choice(
            options,
            tuple(
                FingersDown(
                    stroke.start + length * number / len(steps),
                    tuple([down for down, _ in step.values()]),
                    tuple([tie for _, tie in step.values()]),
                    any(tie for _, tie in step.values()),
                )
                for number, step in enumerate(steps)
                if step
            ),
            tuple(opens),
            cost,
        )

    def _touched(self, voice: WantedNote, option: Option) -> list[tuple[str, int, list[float]]]:
        """The frets touched one after another, each with the sign that leads to it and the bends from there."""
        touched: list[tuple[str, int, list[float]]] = []
        if option.fret is not None:
            touched.append((voice.timed.via, _whole(option.fret), []))
        for sign, fret in option.goals:
            if fret is None or not touched:
                continue
            if sign in ("b", "pb"):
                touched[-1][2].append(float(fret) - touched[-1][1])
            elif sign in TIE_OF:
                touched.append((sign, round(float(fret)), []))
        for bend in voice.bent:
            reached = next((one.fret for one in bend.options if one.string == option.string), None)
            if touched and reached is not None:
                touched[-1][2].append(float(reached) - touched[-1][1])
        written = voice.timed.note.fret
        moved = round(option.fret - written) if written is not None and option.fret is not None else 0
        touched.extend(("h", fret + moved, []) for fret in voice.trills)
        return touched

    def _force(self, string: int, fret: int, height: float) -> int:
        if height <= 0:
            return 0
        force = self.taste.strings[string - 1].bend(fret, height).force
        return int(min(MOST_FORCE, force / FORCE_STEP))


def _go_together(voice: WantedNote, option: Option, other: WantedNote, placed: Option) -> bool:
    """Whether two notes can be struck there at once, as far as a place of them is looked for."""
    if option.string == placed.string:
        return not (voice.is_chosen or other.is_chosen)
    if len(voice.options) == 1 or not option.fret or not placed.fret:
        return True
    return abs(float(option.fret) - float(placed.fret)) <= WIDEST_FRETS


def _whole(fret: Fret) -> int:
    """The fret under the finger; a fraction has one as well."""
    return fret if isinstance(fret, int) else max(1, round(fret))
