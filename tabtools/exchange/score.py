"""A timeline as measures of written events: who sounds, who is struck, who is tied, in values that can be written.

One voice holds everything: what goes on sounding under a new stroke (a bend moves beside a held note) is tied into
its chord. Notes that ring are written up to the next stroke. Where lines of a bar overlap, which the linter reports,
each line too many has a voice of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from tabtools.exchange.rhythm import SMALLEST, Piece, Value, is_value, pieces, values
from tabtools.model.solo import PITCH_MOVES, Hold, Rest, Stroke
from tabtools.timeline import TimedBar, TimedLine, TimedNote, Timeline
from tabtools.timeline.spread import slot_sum


@dataclass(slots=True)
class Sounding:
    """A note of the timeline (by index) in one event; the ties lead to the same string in its neighbours.

    `struck` says that it begins in this event, `last` that it is in no later one.
    """

    index: int
    struck: bool
    tied_in: bool = False
    tied_out: bool = False
    last: bool = True


@dataclass(slots=True)
class Event:
    """One written value with what sounds in it, lowest string first; nothing is a rest."""

    value: Value
    sounding: list[Sounding] = field(default_factory=list)

    @property
    def struck(self) -> list[int]:
        return [one.index for one in self.sounding if one.struck]


class Measure(NamedTuple):
    """A bar as it is written: `voices` of events, `length` in quarter notes.

    `scale` is written time for the timeline's: 1, but in a bar out of time, whose slots stand as plain values.
    """

    bar: TimedBar
    voices: tuple[tuple[Event, ...], ...]
    length: Fraction
    scale: Fraction


def measures_of(timeline: Timeline) -> list[Measure]:
    """The bars of a timeline as they are written."""
    writer = _Writer(timeline.notes)
    return [writer.measure(bar) for bar in timeline.bars]


class _Part(NamedTuple):
    """A piece, the index of its first note, and whether it is the whole of its line."""

    piece: Piece
    taken: int
    is_whole: bool


class _Run(NamedTuple):
    """Parts that one set of notes sounds through."""

    parts: list[_Part]
    sounding: list[Sounding]


class _Writer:
    """Goes through the bars, knowing what sounds."""

    def __init__(self, notes: Sequence[TimedNote]):
        self.notes = notes
        self.rings = ringing(notes)
        self.taken = 0
        self.last: Event | None = None
        self.current: list[int] = []
        self.is_compound = False

    def measure(self, bar: TimedBar) -> Measure:
        lines, length, scale = _laid_out(bar)
        self.is_compound = bar.meter.is_compound
        main: list[_Part] = []
        overlays: list[list[_Part]] = []
        reached = Fraction(0)
        for line, onset, line_length in lines:
            own = self._parts(line, onset, line_length)
            if onset < reached:
                overlays.append(own)
                continue
            if onset > reached:
                main.append(_hold(reached, onset - reached))
            main.extend(own)
            reached = onset + line_length
        if reached < length:
            main.append(_hold(reached, length - reached))
        voices = [tuple(self._voice(main)), *(tuple(self._overlay(own)) for own in overlays)]
        return Measure(bar, tuple(voices), max(length, reached), scale)

    def _parts(self, line: TimedLine, onset: Fraction, length: Fraction) -> list[_Part]:
        found = list(pieces(line.line.slots, onset, length))
        parts = []
        for piece in found:
            parts.append(_Part(piece, self.taken, len(found) == 1))
            self.taken += len(piece.slot.notes) if isinstance(piece.slot, Stroke) else 0
        return parts

    def _voice(self, parts: Iterable[_Part]) -> Iterator[Event]:
        runs: list[_Run] = []
        for part in parts:
            slot = part.piece.slot
            if isinstance(slot, Stroke):
                runs.append(_Run([part], self._strike(slot, part.taken)))
                continue
            if isinstance(slot, Rest):
                self.current = []
            if runs and self.current == [one.index for one in runs[-1].sounding]:
                runs[-1].parts.append(part)
            else:
                runs.append(_Run([part], [Sounding(index, struck=False) for index in self.current]))
        for run in runs:
            yield from self._events(run)

    def _strike(self, stroke: Stroke, taken: int) -> list[Sounding]:
        """What sounds from a stroke on: its notes, and what it does not end."""
        struck = range(taken, taken + len(stroke.notes))
        kept: list[int] = []
        if all(note.only_moves_pitch for note in stroke.notes):
            strings = {self.notes[index].string for index in struck}
            kept = [one for one in self.current if not self.rings[one] and self.notes[one].string not in strings]
        self.current = sorted((*kept, *struck), key=lambda index: (-self.notes[index].string, index))
        return [Sounding(index, struck=index in struck) for index in self.current]

    def _events(self, run: _Run) -> Iterator[Event]:
        first = True
        for piece in _merged(run.parts):
            for value in values(piece, is_aligned=not run.sounding and not self.is_compound):
                own = [Sounding(one.index, one.struck and first) for one in run.sounding]
                first = False
                event = Event(value, own)
                self._tie(self.last, event)
                self.last = event
                yield event

    def _overlay(self, parts: Iterable[_Part]) -> Iterator[Event]:
        """A line that overlaps another, alone: each stroke sounds as long as its line says."""
        sounding: list[int] = []
        before: Event | None = None
        for part in parts:
            slot = part.piece.slot
            if isinstance(slot, Stroke):
                sounding = list(range(part.taken, part.taken + len(slot.notes)))
            elif isinstance(slot, Rest):
                sounding = []
            for place, value in enumerate(values(part.piece)):
                struck = place == 0 and isinstance(slot, Stroke)
                event = Event(value, [Sounding(index, struck) for index in sounding])
                self._tie(before, event)
                before = event
                yield event

    def _tie(self, before: Event | None, event: Event) -> None:
        """Tie an event's notes to those of the event before that go on in them."""
        sounding = {one.index: one for one in before.sounding} if before else {}
        for one in event.sounding:
            source = one.index
            if one.struck:
                note = self.notes[one.index]
                source = note.origin if note.via in PITCH_MOVES and note.origin is not None else -1
            if source in sounding:
                one.tied_in = sounding[source].tied_out = True
                sounding[source].last = one.struck


def ringing(notes: Sequence[TimedNote]) -> list[bool]:
    """Which notes ring: those marked so, and what a move of pitch makes of them."""
    rings: list[bool] = []
    for note in notes:
        inherits = note.via in PITCH_MOVES and note.origin is not None and rings[note.origin]
        rings.append(inherits or any(mark.word == "ring" for mark in note.marks))
    return rings


def _laid_out(bar: TimedBar) -> tuple[list[tuple[TimedLine, Fraction, Fraction]], Fraction, Fraction]:
    """The lines of a bar with onset and length as written, the length of the bar, and its scale.

    In a bar out of time a slot is written as the plain value that comes nearest to its length.
    """
    if not bar.written.free:
        lines = [(line, line.begins.offset, line.length) for line in bar.lines]
        return lines, bar.length, Fraction(1)
    shares = sum(slot_sum(line.line) for line in bar.lines) or 1
    unit = Fraction(4)
    while unit > SMALLEST and unit * unit > 2 * (bar.length / shares) ** 2:
        unit /= 2
    lines, onset = [], Fraction(0)
    for line in bar.lines:
        length = slot_sum(line.line) * unit
        lines.append((line, onset, length))
        onset += length
    length = shares * unit
    return lines, length, length / bar.length


def _hold(onset: Fraction, length: Fraction) -> _Part:
    return _Part(Piece(Hold(), onset, length, length, ()), 0, True)


def _merged(parts: list[_Part]) -> Iterator[Piece]:
    """Whole lines as one piece, as many as one value can stand for; what is within a line stays by itself."""
    start = 0
    while start < len(parts):
        merged, after, total = parts[start].piece, start + 1, parts[start].piece.length
        for place in range(start + 1, len(parts)):
            if not (parts[start].is_whole and parts[place].is_whole):
                break
            total += parts[place].piece.length
            if is_value(total):
                merged, after = parts[start].piece._replace(length=total, written=total), place + 1
        yield merged
        start = after
