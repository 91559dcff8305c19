"""A timeline as measures of written events: who sounds, who is struck, who is tied, in values that can be written.

One voice holds everything: what goes on sounding under a new stroke (a bend moves beside a held note) is tied into
its chord. Notes that ring are written up to the next stroke, of their own voice where there are two.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from tabtools.model.rhythm import quarters
from tabtools.model.solo import PITCH_MOVES, Stroke
from tabtools.score.beams import beamed
from tabtools.score.division import HOLD, STROKE, Piece, doubtful_pieces, pieces, slots_shape
from tabtools.score.grid import OUT_OF_TIME, AnyGrid, Grid, Stretch, TupletGrid, grid_of, parts
from tabtools.score.records import DoubtfulStretch, Measure, Tuplet, WrittenEvent, WrittenNote
from tabtools.score.values import nearest_plain
from tabtools.timeline import TimedBar, TimedLine, TimedNote, Timeline
from tabtools.timeline.spread import leaves, slot_sum

ORNAMENTS = frozenset("hpt/\\")


def measures_of(timeline: Timeline, voice: frozenset[int] | None = None) -> list[Measure]:
    """The bars of a timeline as they are written: all of it in one voice, or the notes of a voice alone."""
    writer = _Writer(timeline.notes, voice)
    drafts = [writer.measure(bar) for bar in timeline.bars]
    return [_finished(draft, timeline.notes) for draft in drafts]


def ringing(notes: Sequence[TimedNote]) -> list[bool]:
    """Which notes ring: those marked so, and what a move of pitch makes of them."""
    rings: list[bool] = []
    for note in notes:
        inherits = note.via in PITCH_MOVES and note.origin is not None and rings[note.origin]
        rings.append(inherits or any(mark.word == "ring" for mark in note.marks))
    return rings


@dataclass(slots=True)
class _SoundingNote:
    """A `WrittenNote` while the events around it are being written."""

    index: int
    struck: bool
    tied_in: bool = False
    tied_out: bool = False
    last: bool = True
    graced: bool = False


class _Value(NamedTuple):
    """A value and what sounds in it."""

    onset: Fraction
    length: Fraction
    written: Fraction
    tuplets: tuple[Tuplet, ...]
    sounding: list[_SoundingNote]
    doubtful: bool


class _MeasureDraft(NamedTuple):
    """A measure whose ties may still lead into the next."""

    bar: TimedBar
    values: list[_Value]
    length: Fraction
    scale: Fraction
    grid: AnyGrid
    doubts: list[Stretch]


class _Placed(NamedTuple):
    """A line of a bar with its onset and length as written."""

    line: TimedLine
    onset: Fraction
    length: Fraction


class _Slot(NamedTuple):
    """A piece, and the notes that are struck there."""

    piece: Piece
    struck: range


class _Run(NamedTuple):
    """Pieces that one set of notes sounds through."""

    pieces: list[Piece]
    sounding: list[_SoundingNote]


class _Writer:
    """Goes through the bars, knowing what sounds."""

    def __init__(self, notes: Sequence[TimedNote], voice: frozenset[int] | None):
        self.notes = notes
        self.voice = voice
        self.rings = ringing(notes)
        self.taken = 0
        self.last: list[_SoundingNote] = []
        self.current: list[int] = []

    def measure(self, bar: TimedBar) -> _MeasureDraft:
        lines, length, scale = _laid_out(bar)
        slots: list[_Slot] = []
        reached = Fraction(0)
        for placed in lines:
            if placed.onset > reached:
                slots.append(_hold(reached, placed.onset - reached))
            slots.extend(self._slots(placed))
            reached = placed.onset + placed.length
        if reached < length:
            slots.append(_hold(reached, length - reached))
        grid = OUT_OF_TIME if bar.written.free else _grid(bar, lines)
        doubts = [(placed.onset, placed.length) for placed in lines if placed.line.line.doubtful]
        return _MeasureDraft(bar, list(self._values(slots, grid, bar, scale)), length, scale, grid, doubts)

    def _slots(self, placed: _Placed) -> Iterator[_Slot]:
        """The pieces of a line with the notes of their strokes, which come in the same order."""
        line = placed.line.line
        strokes = iter([slot for slot in leaves(line.slots) if isinstance(slot, Stroke)])
        if line.doubtful:
            found: Iterable[Piece] = doubtful_pieces(line.slots, placed.onset, placed.length)
        else:
            found = pieces(slots_shape(line.slots), placed.onset, placed.length)
        for piece in found:
            first = self.taken
            if piece.kind == STROKE:
                self.taken += len(next(strokes).notes)
            yield _Slot(piece, range(first, self.taken))

    def _values(self, slots: Iterable[_Slot], grid: AnyGrid, bar: TimedBar, scale: Fraction) -> Iterator[_Value]:
        runs: list[_Run] = []
        for piece, all_struck in slots:
            struck = [index for index in all_struck if self.voice is None or index in self.voice]
            if struck:
                runs.append(_Run([piece], self._strike(struck)))
                continue
            if piece.kind != HOLD:
                self.current = self._still_sounding(bar.onset + piece.onset / scale)
            if runs and self.current == [one.index for one in runs[-1].sounding]:
                runs[-1].pieces.append(piece)
            else:
                runs.append(_Run([piece], [_SoundingNote(index, struck=False) for index in self.current]))
        for run in runs:
            for value in _values(run, grid):
                self._tie(self.last, value.sounding)
                self.last = value.sounding
                yield value

    def _still_sounding(self, moment: Fraction) -> list[int]:
        """What a rest, or a stroke of another voice, leaves to this one."""
        if self.voice is None:
            return []
        return [one for one in self.current if self.notes[one].ends.quarters > moment]

    def _strike(self, struck: Sequence[int]) -> list[_SoundingNote]:
        """What sounds from a stroke on: its notes, and what it does not end."""
        kept: list[int] = []
        if all(self.notes[index].note.only_moves_pitch for index in struck):
            moved = [self.notes[index] for index in struck]
            strings, origins = {note.string for note in moved if note.string}, {note.origin for note in moved}
            kept = [
                one
                for one in self.current
                if not self.rings[one] and self.notes[one].string not in strings and one not in origins
            ]
        self.current = sorted((*kept, *struck), key=self._height)
        return [
            _SoundingNote(index, index in struck, graced=index in struck and _is_graced(self.notes[index]))
            for index in self.current
        ]

    def _moved_from(self, note: TimedNote) -> int:
        """The note whose pitch a note only moves, -1 where it moves none; what has no pitch is tied to nothing."""
        is_moved = note.via in PITCH_MOVES and note.origin is not None and note.path
        return note.origin if is_moved and note.origin is not None and _ends_on_pitch(self.notes[note.origin]) else -1

    def _height(self, index: int) -> tuple[int, float, int]:
        """The lowest string first; behind all strings what has none, the lowest pitch first."""
        note = self.notes[index]
        return -note.string, 0 if note.string or note.attack is None else note.attack, index

    def _tie(self, before: Sequence[_SoundingNote], after: Sequence[_SoundingNote]) -> None:
        """Tie notes to those of the event before that go on in them."""
        known = {one.index: one for one in before}
        for one in after:
            source = one.index
            if one.struck:
                source = self._moved_from(self.notes[one.index])
            if source in known:
                one.tied_in = known[source].tied_out = True
                known[source].last = one.struck


def _laid_out(bar: TimedBar) -> tuple[list[_Placed], Fraction, Fraction]:
    """The lines of a bar as written, the length of the bar, and its scale.

    In a bar out of time a slot is written as the plain value that comes nearest to its length.
    """
    if not bar.written.free:
        return [_Placed(line, line.begins.offset, line.length) for line in bar.lines], bar.length, Fraction(1)
    shares = sum(slot_sum(line.line) for line in bar.lines) or 1
    unit = min(Fraction(4), nearest_plain(bar.length / shares))
    lines, onset = [], Fraction(0)
    for line in bar.lines:
        length = slot_sum(line.line) * unit
        lines.append(_Placed(line, onset, length))
        onset += length
    return lines, shares * unit, shares * unit / bar.length


def _grid(bar: TimedBar, lines: Iterable[_Placed]) -> Grid:
    stretches = tuple([(line.onset, line.length) for line in lines])
    return grid_of(bar.meter, quarters(bar.meter, bar.first_count - 1), stretches)


def _hold(onset: Fraction, length: Fraction) -> _Slot:
    return _Slot(Piece(HOLD, onset, length, length, ()), range(0))


def _values(run: _Run, grid: AnyGrid) -> Iterator[_Value]:
    """The values that a run is written with; only the first of them is struck."""
    sounding = run.sounding
    for piece in _merged(run.pieces):
        for onset, written in _written(piece, grid, is_rest=not sounding):
            if piece.doubt:
                yield _Value(onset, piece.length, nearest_plain(piece.length), (), sounding, True)
            else:
                length = written * piece.length / piece.written
                yield _Value(onset, length, written, piece.tuplets, sounding, False)
            sounding = [_SoundingNote(one.index, struck=False) for one in sounding]


def _written(piece: Piece, grid: AnyGrid, is_rest: bool) -> Iterator[tuple[Fraction, Fraction]]:
    """(onset, written length) of the values of one piece; a doubtful one is not divided."""
    if piece.doubt:
        yield piece.onset, piece.written
        return
    if not piece.tuplets:
        yield from parts(grid, piece.onset, piece.written, is_rest)
        return
    tuplet, scale = piece.tuplets[-1], piece.length / piece.written
    within = (piece.onset - tuplet.onset) / scale
    for onset, written in parts(TupletGrid(tuplet.unit), within, piece.written, is_rest):
        yield tuplet.onset + onset * scale, written


def _merged(run: Sequence[Piece]) -> list[Piece]:
    """Pieces that follow each other within the same tuplets, or on the same doubtful line, as one."""
    merged = [run[0]]
    for piece in run[1:]:
        last = merged[-1]
        if (piece.tuplets, piece.doubt) == (last.tuplets, last.doubt):
            merged[-1] = last._replace(length=last.length + piece.length, written=last.written + piece.written)
        else:
            merged.append(piece)
    return merged


def _finished(draft: _MeasureDraft, notes: Sequence[TimedNote]) -> Measure:
    bar, values, length, scale, grid, doubts = draft
    is_whole = bool(bar.written.free) or bar.length >= bar.meter.length
    if is_whole and not any(value.sounding for value in values):
        rest = WrittenEvent(Fraction(0), length, length, fills_bar=True)
        return Measure(bar, (rest,), length, scale, _doubtful((rest,), doubts))
    written = [_event(value, notes) for value in values]
    events = tuple(beamed(written, grid) if isinstance(grid, Grid) else written)
    return Measure(bar, events, length, scale, _doubtful(events, doubts))


def _event(value: _Value, notes: Sequence[TimedNote]) -> WrittenEvent:
    onset, length, written, tuplets, sounding, doubtful = value
    unheard = bool(sounding) and all(notes[one.index].note.unheard for one in sounding)
    own = tuple([_note(one) for one in sounding])
    return WrittenEvent(onset, length, written, tuplets, own, doubtful=doubtful, unheard=unheard)


def _doubtful(events: Sequence[WrittenEvent], doubts: Sequence[Stretch]) -> tuple[DoubtfulStretch, ...]:
    """The doubtful lines with the events that stand on them."""
    found = []
    for onset, length in doubts:
        end = onset + length
        own = [place for place, event in enumerate(events) if event.onset < end and onset < event.end]
        found.append(DoubtfulStretch(onset, end, own[0], own[-1]))
    return tuple(found)


def _note(one: _SoundingNote) -> WrittenNote:
    return WrittenNote(one.index, one.struck, one.tied_in, one.tied_out, one.last, one.graced)


def _ends_on_pitch(note: TimedNote) -> bool:
    """Whether it is written at a pitch by its end: one that is bent from nobody knows where is not."""
    return bool(note.path) and (note.attack is not None or _is_graced(note))


def _is_graced(note: TimedNote) -> bool:
    """Whether its string is stopped at several places within its slot: all before the last are grace notes."""
    return any(step.motion.sign in ORNAMENTS for step in note.steps)
