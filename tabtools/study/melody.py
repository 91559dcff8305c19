"""A timeline as a listener follows it: strokes with whole pitches and exact times in whole ticks, cut into phrases.

The study modules walk over this again and again, so time is counted in ticks: whole numbers, as many to a quarter
note as the solo's own divisions ask for.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from math import lcm
from typing import NamedTuple

from tabtools.harmony.degrees import DegreeStyle
from tabtools.model.pitch import nearest_semitone
from tabtools.model.rhythm import Meter
from tabtools.model.solo import Address, AddressRange
from tabtools.study.backing import Backing, backing_of
from tabtools.timeline import Moment, TimedBar, TimedNote, Timeline

BENDS = frozenset(("b", "r", "w", "pb"))
FLAT_THIRD, MAJOR_THIRD = 3, 4
OFF_PITCH = 0.2
"""Semitones from which on a pitch lies between two tones."""


class Struck(NamedTuple):
    """The pitched notes of one stroke.

    `notes` are indices into the timeline, the highest pitch first; `pitches` are the whole semitones where they
    arrive, `top` the first of them. `entry` is the pitch the top note is first heard at: the start of a bend within its
    slot, else `top`. `onset` and `release` are ticks since the start of the solo, `beat` the ticks of a count there.
    `in_bar` are the ticks since the first count of the full bar. `heard` is when the dead notes behind it have ended
    too, and what is not known yet.

    `doubt` is from when to when its line lasts, in ticks, where the count of that is doubtful: when it begins in
    between is not known. `has_unknown` says that a note of the stroke has a pitch that is not known, `is_apart` that
    one has sounded since the stroke before, or sounds in either of them, `is_left_open` that one follows before the
    next stroke; `unheard` are the ticks until then in which nothing can be made out.
    """

    notes: tuple[int, ...]
    pitches: tuple[int, ...]
    top: int
    entry: int
    onset: int
    release: int
    heard: int
    beat: int
    in_bar: int
    bar: TimedBar
    doubt: tuple[int, int] | None = None
    has_unknown: bool = False
    is_apart: bool = False
    is_left_open: bool = False
    unheard: int = 0

    @property
    def is_on_beat(self) -> bool:
        return self.doubt is None and self.in_bar % self.beat == 0

    @property
    def has_count(self) -> bool:
        """Whether it is known on which count it falls: under a doubtful one, where that is one count alone."""
        return self.doubt is None or self.doubt[1] - self.doubt[0] <= self.beat

    @property
    def on_count(self) -> int:
        """The count it falls on or after, from 1."""
        return self.in_bar // self.beat + 1

    @property
    def is_on_strong_beat(self) -> bool:
        """Whether it falls on a strong count; out of time nothing is, nor where the rhythm is not known."""
        is_timed = self.bar.written.free is None
        return is_timed and self.is_on_beat and is_strong(self.on_count, self.bar.meter)


@dataclass(frozen=True)
class Melody:
    """A timeline for the study. `stroke_of` gives each note's stroke, None for a note without pitch."""

    timeline: Timeline
    strokes: tuple[Struck, ...]
    stroke_of: tuple[int | None, ...]
    backings: tuple[Backing, ...]
    per_quarter: int

    @cached_property
    def single(self) -> tuple[int | None, ...]:
        """The pitch of each stroke that is a single note, None for the others."""
        return tuple(
            [struck.top if len(struck.pitches) == 1 and not struck.has_unknown else None for struck in self.strokes]
        )

    @cached_property
    def coming_chords(self) -> list[tuple[int, str | None] | None]:
        """For each stroke, when the next other chord begins, in ticks, and its symbol."""
        changes: list[tuple[int, str | None]] = []
        sounding: str | None = None
        for bar in self.timeline.bars:
            for chord in bar.chords:
                if chord.symbol != sounding:
                    changes.append((ticks(chord.onset, self.per_quarter), chord.symbol))
                    sounding = chord.symbol
        coming, place = [], 0
        for struck in self.strokes:
            while place < len(changes) and changes[place][0] <= struck.onset:
                place += 1
            coming.append(changes[place] if place < len(changes) else None)
        return coming

    @cached_property
    def on_beat(self) -> tuple[bool, ...]:
        """For each stroke whether it falls on a count."""
        return tuple([struck.is_on_beat for struck in self.strokes])

    @cached_property
    def stroke_backings(self) -> tuple[Backing, ...]:
        """What each stroke is heard against."""
        return tuple([self.backings[struck.notes[0]] for struck in self.strokes])

    @cached_property
    def bent_to(self) -> frozenset[int]:
        """The notes that arrive a semitone or more above where their last bend began."""
        notes = self.timeline.notes
        return frozenset(
            [
                index
                for struck in self.strokes
                for index, pitch in zip(struck.notes, struck.pitches, strict=True)
                if (notes[index].motions or notes[index].via == "b") and is_bent_to(notes[index], pitch)
            ]
        )

    def chord_changes(self, first: int, stop: int) -> list[int]:
        """The strokes behind `first` and before `stop` that are heard against another chord than the one before."""
        backings = pairwise(self.stroke_backings[first:stop])
        return [place for place, (before, here) in enumerate(backings, first + 1) if here is not before]

    def backing(self, stroke: int) -> Backing:
        """What a stroke is heard against."""
        return self.stroke_backings[stroke]

    def notes_of(self, first: int, last: int) -> tuple[int, ...]:
        """The notes of these strokes, both inclusive, in the order of the timeline."""
        return tuple(sorted(note for struck in self.strokes[first : last + 1] for note in struck.notes))

    def stretch(self, first: int, last: int) -> AddressRange:
        """From one stroke to another; whole lines by their counts alone."""
        return stretch_of(self.timeline.notes, self.strokes[first].notes[0], self.strokes[last].notes[0])


def is_bent_to(note: TimedNote, pitch: int) -> bool:
    """Whether the pitch a note arrives at is a semitone or more above where its last bend began."""
    if note.via != "b" and not note.motions:
        return False
    steps = note.steps
    if steps:
        is_higher = len(note.path) < 2 or pitch > nearest_semitone(note.path[-2])
        return steps[-1].motion.sign == "b" and is_higher
    bent = next((motion for motion in note.motions if motion.sign == "pb"), None)
    if bent is None:
        return note.via == "b" and pitch > nearest_semitone(note.path[0])
    if note.note.unknown:
        return True
    if bent.pitch is not None and note.note.pitch is not None:
        return bent.pitch.midi > note.note.pitch.midi
    return bent.fret is not None and note.fret is not None and bent.fret > note.fret


def is_blue_third(note: TimedNote, backing: Backing) -> bool:
    """Whether a note arrives clearly between the flat and the major third of a chord with a major third."""
    if type(note.midi) is int or note.midi is None or backing.root is None:
        return False
    above = (note.midi - backing.root) % 12
    return (backing.root + 4) % 12 in backing.core and FLAT_THIRD + OFF_PITCH <= above <= MAJOR_THIRD - OFF_PITCH


def is_between_tones(note: TimedNote) -> bool:
    """Whether a note arrives clearly between two semitones."""
    return type(note.midi) is not int and note.midi is not None and OFF_PITCH <= note.midi % 1 <= 1 - OFF_PITCH


def is_strong(count: int, meter: Meter) -> bool:
    """Whether a count is a strong one (common practice).

    Counted in three eighths to a beat (6/8, 9/8, 12/8) every third count from the first is; in an even number of
    counts from four up every other; elsewhere only the first.
    """
    if meter.denominator >= 8 and meter.counts % 3 == 0 and meter.counts > 3:
        return count % 3 == 1
    if meter.counts >= 4 and meter.counts % 2 == 0:
        return count % 2 == 1
    return count == 1


def stretch_of(notes: tuple[TimedNote, ...], first: int, last: int) -> AddressRange:
    """The range from one note's stroke to another's; `5.2-6.1` where both its lines are whole."""
    start, end = notes[first].address, notes[last].address
    before = notes[first - notes[first].part].address if first >= notes[first].part else None
    following = last
    while following < len(notes) and notes[following].address == end:
        following += 1
    after = notes[following].address if following < len(notes) else None
    starts_line = before is None or before[:2] != start[:2]
    ends_line = after is None or after[:2] != end[:2]
    if starts_line and ends_line:
        return AddressRange(Address(start.bar, start.count), Address(end.bar, end.count))
    return AddressRange(start, end)


def melody_of(timeline: Timeline, style: DegreeStyle = "plain") -> Melody:
    """The strokes of a timeline that have pitch, in order. Dead notes are passed over, unknown ones keep apart."""
    notes = timeline.notes
    key = timeline.solo.header.key
    symbols = {note.chord for note in notes}
    known = {symbol: backing_of(symbol, key, style) for symbol in symbols}
    clock = _Clock(timeline)
    strokes: list[Struck] = []
    stroke_of: list[int | None] = []
    together: list[tuple[int, int]] = []
    is_apart = has_unknown = False
    for index, note in enumerate(notes):
        if note.part == 1:
            if together:
                strokes.append(_struck(notes, together, clock, has_unknown, is_apart))
                together = []
                is_apart = has_unknown
            has_unknown, is_apart = False, is_apart or has_unknown
        midi = note.midi
        if midi is None:
            stroke_of.append(None)
            has_unknown = has_unknown or note.note.is_open
            if strokes and not together:
                strokes[-1] = _followed(strokes[-1], note, clock.per_quarter)
        else:
            stroke_of.append(len(strokes))
            has_unknown = has_unknown or (note.attack is None and any(one.sign in BENDS for one in note.motions))
            together.append((midi if type(midi) is int else nearest_semitone(midi), index))
    if together:
        strokes.append(_struck(notes, together, clock, has_unknown, is_apart))
    backings = tuple([known[note.chord] for note in notes])
    return Melody(timeline, tuple(strokes), tuple(stroke_of), backings, clock.per_quarter)


class _Clock:
    """Ticks of moments; the bar of the last one asked for is kept, as moments come in order."""

    def __init__(self, timeline: Timeline):
        self.per_quarter = _resolution(timeline)
        self.bars = iter(timeline.bars)
        self.bar: TimedBar | None = None
        self.onset = self.beat = self.lead = 0

    def bar_of(self, moment: Moment) -> TimedBar:
        """The bar in which a moment is counted; `onset`, `beat` and `lead` are of that bar from here on."""
        bar = self.bar
        if bar is not None and bar.onset is moment.bar:
            return bar
        while bar is None or bar.onset is not moment.bar:
            bar = next(self.bars)
        self.bar = bar
        self.onset = ticks(moment.bar, self.per_quarter)
        self.beat = ticks(bar.meter.beat, self.per_quarter)
        self.lead = (bar.first_count - 1) * self.beat
        return bar

    def ticks_of(self, moment: Moment) -> int:
        """A moment in ticks since the start of the solo."""
        bar = self.bar
        begins = self.onset if bar is not None and bar.onset is moment.bar else ticks(moment.bar, self.per_quarter)
        return begins + ticks(moment.offset, self.per_quarter)


def _struck(
    notes: tuple[TimedNote, ...], together: list[tuple[int, int]], clock: _Clock, has_unknown: bool, is_apart: bool
) -> Struck:
    if len(together) > 1:
        together.sort(key=lambda entry: (-entry[0], entry[1]))
    pitches, indices = zip(*together, strict=True)
    top, first = together[0]
    note = notes[first]
    bar = clock.bar_of(note.begins)
    offset = ticks(note.begins.offset, clock.per_quarter)
    release = max([clock.ticks_of(notes[index].ends) for index in indices])
    return Struck(
        indices,
        pitches,
        top,
        _entry(note, top),
        clock.onset + offset,
        release,
        release,
        clock.beat,
        clock.lead + offset,
        bar,
        _doubt(note, bar, clock) if note.line.doubtful else None,
        has_unknown,
        has_unknown or is_apart,
        has_unknown,
    )


def _followed(struck: Struck, note: TimedNote, per_quarter: int) -> Struck:
    """A stroke behind which a note without a known pitch sounds."""
    ends = in_ticks(note.ends, per_quarter)
    lasts = ends - in_ticks(note.begins, per_quarter) if note.note.unheard else 0
    is_left_open = struck.is_left_open or note.note.is_open
    return struck._replace(heard=ends, is_left_open=is_left_open, unheard=struck.unheard + lasts)


def _doubt(note: TimedNote, bar: TimedBar, clock: _Clock) -> tuple[int, int]:
    """From when to when the line of a note lasts."""
    line = next(line for line in bar.lines if line.line is note.line)
    start = clock.onset + ticks(line.begins.offset, clock.per_quarter)
    return start, start + ticks(line.length, clock.per_quarter)


def _entry(note: TimedNote, top: int) -> int:
    """The pitch a note is first heard at: where a bend within its slot starts, otherwise where it arrives."""
    if note.attack is None or note.attack == note.midi:
        return top
    return nearest_semitone(note.attack) if any(motion.sign in BENDS for motion in note.motions) else top


def in_ticks(moment: Moment, per_quarter: int) -> int:
    """A moment in ticks since the start of the solo."""
    return ticks(moment.bar, per_quarter) + ticks(moment.offset, per_quarter)


def ticks(time: Fraction, per_quarter: int) -> int:
    """A time in quarter notes as ticks; exact, as every time of the timeline divides into them."""
    over, under = time.as_integer_ratio()
    return over * (per_quarter // under)


def _resolution(timeline: Timeline) -> int:
    """The fewest ticks a quarter note that every onset, release and count falls on."""
    under = {bar.meter.beat.denominator for bar in timeline.bars}
    under |= {time.denominator for bar in timeline.bars for time in (bar.onset, bar.length)}
    under |= {chord.onset.denominator for bar in timeline.bars for chord in bar.chords}
    under |= {note.begins.offset.denominator for note in timeline.notes}
    under |= {note.ends.offset.denominator for note in timeline.notes}
    under |= {
        time.denominator
        for bar in timeline.bars
        for line in bar.lines
        if line.line.doubtful
        for time in (line.begins.offset, line.length)
    }
    return lcm(*under)
