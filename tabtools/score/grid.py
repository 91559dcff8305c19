"""Where values may begin and end so that the beats of a bar can be seen.

A sound that no single value shows well is tied at the strongest place within it. What single values may do is common
practice in engraving: a value may cross beats from a beat on, but not hide the middle of a bar counted in four; a
syncopation within a beat stands as one value; a rest hides no beat and has no dot but in compound meters.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from math import lcm

from tabtools.model.rhythm import Meter
from tabtools.score.values import SMALLEST, is_dotted, is_value, undotted

Stretch = tuple[Fraction, Fraction]
"""Onset and length."""

_HALF_BEAT = Fraction(2)


@dataclass(frozen=True, eq=False)
class Grid:
    """The beats of one bar.

    `shift` is what a pickup leaves out at its start, `lines` are the beat lines, which alone tell the groups of
    meters like 7/8.
    """

    meter: Meter
    shift: Fraction
    lines: tuple[Stretch, ...]

    @cached_property
    def span(self) -> Fraction | None:
        """The time under one beam; None where only the lines tell it."""
        meter = self.meter
        if meter.is_compound and meter.denominator >= 8:
            return meter.beat
        if meter.denominator <= 4:
            return _HALF_BEAT if meter.beat == _HALF_BEAT else Fraction(1)
        three = 3 * meter.beat
        is_in_threes = meter.numerator % 3 == 0 and is_value(three)
        return three if is_in_threes and all(self._fits(line, three) for line in self.lines) else None

    def _fits(self, line: Stretch, group: Fraction) -> bool:
        """Whether a line stays within a group of counts, or fills several."""
        start, length = line[0] + self.shift, line[1]
        within = start // group == (start + length - SMALLEST) // group
        return within or (start % group == 0 and length % group == 0)

    @cached_property
    def is_compound(self) -> bool:
        """Whether what a beam holds together is divided by three."""
        return self.span is not None and is_dotted(self.span)

    @cached_property
    def strong(self) -> Fraction | None:
        """The distance of places stronger than a beat: half a bar counted in four, or a beat longer than a beam."""
        if self.meter.numerator % 4 == 0:
            return self.meter.length / 2
        return self.meter.beat if self.span is not None and self.meter.beat > self.span else None

    def home(self, onset: Fraction) -> int:
        """What a value shares its beam with: the others of its beat, or of its line."""
        if self.span is not None:
            return int((onset + self.shift) // self.span)
        return max((place for place, (start, _) in enumerate(self.lines) if start <= onset), default=0)

    def shows(self, onset: Fraction, length: Fraction, is_rest: bool) -> bool:
        """Whether one value may stand there."""
        start = onset + self.shift
        end = start + length
        span = self.span
        if span is None:
            return self._shows_lines(onset, length, is_rest)
        if start // span == (end - SMALLEST) // span:
            if is_rest:
                return (self.is_compound or not is_dotted(length)) and start % span % length == 0
            return start % (undotted(length) / 2) == 0
        if start % span:
            return False
        if self.is_compound:
            return length % span == 0 and (not is_rest or self._is_strong_rest(start, length))
        if is_rest:
            return self._is_strong_rest(start, length)
        return self._shows_strong(start, end)

    def _is_strong_rest(self, start: Fraction, length: Fraction) -> bool:
        """Whether a rest longer than a beat fills an even part of what is stronger than a beat."""
        if self.strong is None or start % length:
            return False
        return self.strong % length == 0 and (not is_dotted(length) or self.is_compound or length == self.strong)

    def _shows_strong(self, start: Fraction, end: Fraction) -> bool:
        strong, span = self.strong, self.span
        if strong is None or span is None or start % strong == 0 or start // strong == (end - SMALLEST) // strong:
            return True
        return self.meter.numerator % 4 == 0 and end - start in (2 * span, 3 * span)

    def _shows_lines(self, onset: Fraction, length: Fraction, is_rest: bool) -> bool:
        starts = {start for start, _ in self.lines}
        if not any(onset < start < onset + length for start in starts):
            return True
        ends = {start + lasting for start, lasting in self.lines}
        return not is_rest and onset in starts and onset + length in ends

    def places(self, onset: Fraction, end: Fraction) -> Iterator[Sequence[Fraction]]:
        """The places strictly within a stretch, the strongest ones first."""
        if self.span is None:
            yield [start for start, _ in self.lines if onset < start < end]
            steps: Iterable[Fraction] = _halved(Fraction(4, self.meter.denominator))
        else:
            beats = [self.span] if self.strong is None else [self.strong, self.span]
            steps = (*beats, *_halved(self.span / 3 if self.is_compound else self.span / 2))
        for step in steps:
            yield [place - self.shift for place in _multiples(step, onset + self.shift, end + self.shift)]


@dataclass(frozen=True, slots=True)
class TupletGrid:
    """The units of a tuplet. Onsets count from where it begins, in the lengths written within it."""

    unit: Fraction

    def shows(self, onset: Fraction, length: Fraction, is_rest: bool) -> bool:
        """Whether one value may stand there: what begins off a unit stays within it, a rest keeps to its own size."""
        if is_rest:
            return not is_dotted(length) and onset % length == 0
        return onset % self.unit == 0 or onset // self.unit == (onset + length - SMALLEST) // self.unit

    def places(self, onset: Fraction, end: Fraction) -> Iterator[Sequence[Fraction]]:
        """The places strictly within a stretch, the strongest ones first."""
        for step in _halved(self.unit):
            yield _multiples(step, onset, end)


class FreeGrid:
    """No beats at all: a bar out of time."""

    def shows(self, onset: Fraction, length: Fraction, is_rest: bool) -> bool:
        """Whether one value may stand there."""
        return True

    def places(self, onset: Fraction, end: Fraction) -> Iterator[Sequence[Fraction]]:
        """The ends of values that begin with the stretch, the longest first."""
        value = Fraction(64)
        while value >= SMALLEST:
            yield [onset + value] if onset + value < end else []
            value /= 2


AnyGrid = Grid | TupletGrid | FreeGrid
OUT_OF_TIME = FreeGrid()


@lru_cache(maxsize=512)
def grid_of(meter: Meter, shift: Fraction, lines: tuple[Stretch, ...]) -> Grid:
    """The grid of a bar: one object for all bars that are alike."""
    return Grid(meter, shift, lines)


@lru_cache(maxsize=4096)
def parts(grid: AnyGrid, onset: Fraction, length: Fraction, is_rest: bool) -> tuple[Stretch, ...]:
    """The values that stand for a sound or a silence of a length, tied where there are several."""
    if is_value(length) and grid.shows(onset, length, is_rest):
        return ((onset, length),)
    cut = _cut(grid, onset, onset + length, is_rest)
    if cut is None:
        return ((onset, length),)
    return (
        *parts(grid, onset, cut - onset, is_rest),
        *parts(grid, cut, onset + length - cut, is_rest),
    )


def _cut(grid: AnyGrid, onset: Fraction, end: Fraction, is_rest: bool) -> Fraction | None:
    """Where to tie: where two values will do, at the strongest such place; otherwise at the strongest place within.

    Of places equally strong it is the first for a sound that begins between them, the last for one that begins on one.
    """

    def stands(start: Fraction, stop: Fraction) -> bool:
        return is_value(stop - start) and grid.shows(start, stop - start, is_rest)

    finest = Fraction(1, lcm(onset.denominator, end.denominator))
    strongest: Fraction | None = None
    for places in grid.places(onset, end):
        is_on_beat = len(places) > 1 and places[1] - places[0] == places[0] - onset
        firsts = [place for place in (reversed(places) if is_on_beat else places) if stands(onset, place)]
        for place in firsts:
            if stands(place, end):
                return place
        if strongest is None and places:
            strongest = firsts[0] if firsts else places[0]
        if len(places) > 1 and places[1] - places[0] <= finest:
            break
    return strongest


def _halved(step: Fraction) -> Iterator[Fraction]:
    while step >= SMALLEST:
        yield step
        step /= 2


def _multiples(step: Fraction, onset: Fraction, end: Fraction) -> list[Fraction]:
    """The multiples of a step strictly between two moments."""
    found = []
    place = (onset // step + 1) * step
    while place < end:
        found.append(place)
        place += step
    return found
