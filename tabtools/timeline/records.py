"""The records of a timeline. Musical time is `Fraction` in quarter notes since the start of the solo."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from tabtools.model.rhythm import Meter
from tabtools.model.solo import Address, Bar, BeatLine, ChordMark, Hold, Like, Mark, Motion, Note, Solo
from tabtools.wording import bars_in_all


class TimedChord(NamedTuple):
    """A chord from its onset on; `symbol` is None under NC."""

    onset: Fraction
    symbol: str | None
    mark: ChordMark


class Moment(NamedTuple):
    """A moment as the onset of its bar and the offset within it, in quarter notes.

    The sum is made only where it is asked for: adding fractions is most of what time costs.
    """

    bar: Fraction
    offset: Fraction

    @property
    def quarters(self) -> Fraction:
        """Quarter notes since the start of the solo."""
        return self.bar + self.offset


class ReachedPitch(NamedTuple):
    """A motion within a note, and the pitch (a MIDI number) that it reaches."""

    motion: Motion
    pitch: float


class TimedLine(NamedTuple):
    """A beat line with the moment it begins and its length in quarter notes.

    `count` is the count it is played on: its own, or a later one where the lines before it fill that already.
    """

    begins: Moment
    length: Fraction
    line: BeatLine
    count: int  # type: ignore[assignment]  # a count of the music, not a tuple's count()

    @property
    def onset(self) -> Fraction:
        """Quarter notes since the start of the solo."""
        return self.begins.quarters


class TimedBar(NamedTuple):
    """A bar as it is played; `like` is the line that repeats `written` here, where one does.

    `start` and `end` are seconds. `chords` are those that begin in this bar; `chord` is the symbol that
    sounds as it begins. `at` is where it starts in the recording, in seconds. It lasts as long as its meter, longer
    where more is written in it; its lines follow each other and none overlaps another.
    """

    number: int
    written: Bar
    like: Like | None
    meter: Meter
    tempo: Fraction
    onset: Fraction
    length: Fraction
    first_count: int
    start: float
    end: float
    chord: str | None
    chords: tuple[TimedChord, ...]
    lines: tuple[TimedLine, ...]
    at: Fraction | None

    @property
    def is_pickup(self) -> bool:
        return self.number == 0


class TimedNote(NamedTuple):
    """One note as it sounds; `index` is its place among the notes of the timeline.

    `string` is 0 where none could be told. `fret` is the fret attacked (held, under a bend, release or vibrato- bar
    slot; touched, for a natural harmonic), `held` the fret under the finger at its end; both None for dead notes and
    where the place is not known. `motions` are those of the note, each with the fret it reaches where that is known;
    `named` is the fret that the note itself names, or that follows from its pitch: under a bend, release or vibrato-bar
    slot the one whose pitch is reached. `attack` and `midi` are MIDI numbers at its start and where it arrives, `path`
    all of them in between; they are None and empty where no pitch sounds. Of a note whose own pitch is not known
    `attack` is None, and `path` begins where it is first known to arrive. It sounds from `begins` to `ends`, ties,
    holds and ringing included; `slot` is the length of its own slot. `start` and `end` are seconds. `origin` is the
    index of the note, on the same string and still sounding, that a move comes from.
    """

    index: int  # type: ignore[assignment]  # a place among the notes, not a tuple's index()
    address: Address
    part: int
    note: Note
    line: BeatLine
    string: int
    fret: Fraction | int | None
    held: Fraction | int | None
    via: str
    motions: tuple[Motion, ...]
    named: Fraction | int | None
    attack: float | None
    midi: float | None
    path: tuple[float, ...]
    begins: Moment
    ends: Moment
    slot: Fraction
    start: float
    end: float
    chord: str | None
    marks: tuple[Mark, ...]
    origin: int | None

    @property
    def is_placed(self) -> bool:
        """Whether string and fret are known, or the string of a dead note, which has no fret."""
        return bool(self.string) and (self.fret is not None or self.note.dead)

    @property
    def steps(self) -> list[ReachedPitch]:
        """Where its pitch goes within its slot; what is bent before it is struck (`pb`) is no step.

        On a string that is not known only the motions that name a pitch lead anywhere.
        """
        if not self.path or not self.motions:
            return []
        moving = [motion for motion in self.motions if motion.arrives and motion.sign != "pb"]
        if not self.string or (self.attack is not None and len(moving) >= len(self.path)):
            moving = [motion for motion in moving if motion.pitch is not None]
        pitches = self.path[len(self.path) - len(moving) :]
        return [ReachedPitch(motion, pitch) for motion, pitch in zip(moving, pitches, strict=True)]

    @property
    def is_unplaced(self) -> bool:
        """Whether it is not known where on the neck it is played; a bend stays where the note before it is."""
        note = self.note
        return note.is_open and self.fret is None and not note.only_moves_pitch and not note.unheard

    @property
    def onset(self) -> Fraction:
        """Quarter notes since the start of the solo."""
        return self.begins.quarters

    @property
    def release(self) -> Fraction:
        """When it stops sounding, in quarter notes since the start of the solo."""
        return self.ends.quarters

    @property
    def duration(self) -> Fraction:
        """How long it sounds, in quarter notes."""
        return self.release - self.onset


class IdleHold(NamedTuple):
    """A `-` while nothing sounds."""

    address: Address
    hold: Hold


@dataclass(frozen=True)
class Timeline:
    """A solo in time: its bars unrolled and its notes in order of onset, the notes of a stroke adjacent."""

    solo: Solo
    bars: tuple[TimedBar, ...]
    notes: tuple[TimedNote, ...]
    idle_holds: tuple[IdleHold, ...]

    @cached_property
    def bar_numbers(self) -> dict[int, TimedBar]:
        """Bars by number, the first where a number stands twice."""
        return {bar.number: bar for bar in reversed(self.bars)}

    @cached_property
    def bar_indices(self) -> dict[int, int]:
        """Indices of bars by number, the first where a number stands twice."""
        return {bar.number: index for index, bar in reversed(list(enumerate(self.bars)))}

    @cached_property
    def note_places(self) -> list[tuple[int, int, int]]:
        """(index of the bar, count, stroke) of each note."""
        indices = self.bar_indices
        addresses = (note.address for note in self.notes)
        return [(indices[at.bar], at.count or 0, at.stroke or 0) for at in addresses]

    @cached_property
    def _bars_by_onset(self) -> dict[Fraction, TimedBar]:
        return {bar.onset: bar for bar in self.bars}

    def slot_seconds(self, note: TimedNote) -> float:
        """The length of a note's own slot in seconds, swing left aside."""
        bar = self._bars_by_onset[note.begins.bar]
        return float(note.slot) * (bar.end - bar.start) / float(bar.length)

    @property
    def length_in_bars(self) -> str:
        """`12 bars and a pickup`."""
        return bars_in_all(sum(not bar.is_pickup for bar in self.bars), any(bar.is_pickup for bar in self.bars))

    @property
    def seconds(self) -> float:
        """How long the solo lasts."""
        return self.bars[-1].end if self.bars else 0.0
