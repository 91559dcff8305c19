"""What a transcription leaves open: pitches, rhythms, readings, chords and places that are still to be found.

A pitch on a string that is known is no open place: its fret follows, and is only not written yet.

A stretch that cannot be made out is one thing, over lines and bars; so are the notes of a line whose pitches are not
known, and those whose places are not. Bars that repeat others add nothing but the doubtful chords given to them.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from tabtools.harmony.degrees import spelled
from tabtools.model.solo import Address, AddressRange, ChordMark, Heard
from tabtools.notation.chords import chord_or_none
from tabtools.source import Span
from tabtools.timeline import Moment, TimedBar, TimedLine, TimedNote, Timeline
from tabtools.timeline.readings import is_one_pitch, other_pitches
from tabtools.timeline.recording import RecordingClock
from tabtools.timeline.unheard import unheard_stretches


class OpenKind(StrEnum):
    """What is not known, in the order in which it is listened to."""

    PITCH = "pitch"
    RHYTHM = "rhythm"
    READING = "reading"
    CHORD = "chord"
    PLACE = "place"
    FRET = "fret"


URGENCY = {kind: rank for rank, kind in enumerate(OpenKind)}
"""First what is played, then when, then doubts about both; last what a quiet hour with the guitar settles, or nobody
needs to settle."""


@dataclass(frozen=True, slots=True)
class OpenThing:
    """One thing that is open.

    `address` is where it is written, `place` the bars and counts in which it is played. `notes` are those it is
    about, `chord` is the doubtful one. `starts` and `ends` are seconds of the recording, None where no bar says where
    it is in it. `pitches` are the names of those that an uncertain reading may be, its own first and then one for each
    other reading; none where its own is not known, as that of a harmonic.
    """

    kind: OpenKind
    address: Address
    place: AddressRange
    span: Span
    starts: float | None
    ends: float | None
    notes: tuple[TimedNote, ...] = ()
    chord: ChordMark | None = None
    pitches: tuple[str, ...] = ()
    only_place: bool = False

    @property
    def is_stretch(self) -> bool:
        """Whether it is a stretch in which nothing can be made out."""
        return any(timed.note.unheard for timed in self.notes)


def open_things(timeline: Timeline) -> tuple[OpenThing, ...]:
    """All that a solo leaves open, in the order of the music."""
    search = _Search(timeline)
    found = [*search.stretches(), *search.in_lines(), *search.chords()]
    found.sort(key=lambda one: (one.start, URGENCY[one.thing.kind]))
    return tuple(one.thing for one in found)


def next_to_do(things: Sequence[OpenThing]) -> OpenThing | None:
    """What to listen to next: the first thing of the most urgent kind."""
    return min(things, key=lambda thing: URGENCY[thing.kind], default=None)


class _OpenFrom(NamedTuple):
    """A thing with the second of the timeline at which it begins."""

    start: float
    thing: OpenThing


class _Search:
    """The search through one timeline."""

    def __init__(self, timeline: Timeline):
        self._timeline = timeline
        self._clock = RecordingClock(timeline)
        self._written = {bar.onset: bar for bar in timeline.bars if bar.like is None}
        self._notes = [note for note in timeline.notes if note.begins.bar in self._written]

    def stretches(self) -> Iterator[_OpenFrom]:
        """Stretches that cannot be made out, each as long as nothing else comes between."""
        for stretch in unheard_stretches(self._notes):
            yield self._of_notes(OpenKind.PITCH, stretch)

    def in_lines(self) -> Iterator[_OpenFrom]:
        """What single lines leave open: pitches, readings and places of notes; rhythms."""
        of_lines = {line: list(notes) for line, notes in groupby(self._notes, _line_of)}
        for bar in self._written.values():
            for timed in bar.lines:
                if timed.line.doubtful:
                    yield self._rhythm(bar, timed, of_lines.get((bar.onset, timed.line.span), ()))
        for notes in of_lines.values():
            if unknown := [note for note in notes if note.note.unknown]:
                yield self._of_notes(OpenKind.PITCH, unknown)
            for note in notes:
                if note.note.unsure:
                    start, thing = self._of_notes(OpenKind.READING, [note])
                    only_place = is_one_pitch(note, self._timeline.solo.header.instrument)
                    yield _OpenFrom(start, replace(thing, pitches=self._pitches(note), only_place=only_place))
            unplaced = [note for note in notes if note.note.names_pitch]
            if without_place := [note for note in unplaced if not _frets_follow(note)]:
                yield self._of_notes(OpenKind.PLACE, without_place)
            if without_fret := [note for note in unplaced if _frets_follow(note)]:
                yield self._of_notes(OpenKind.FRET, without_fret)

    def chords(self) -> Iterator[_OpenFrom]:
        """Doubtful chords, each where it is first played."""
        seen: set[Span] = set()
        for bar in self._timeline.bars:
            for chord in bar.chords:
                mark = chord.mark
                if not mark.doubtful or mark.span in seen:
                    continue
                seen.add(mark.span)
                start = _seconds(bar, chord.onset - bar.onset)
                address = Address(bar.number, mark.at.count if mark.at else None)
                at = self._clock.at(start)
                place = AddressRange(address, address)
                yield _OpenFrom(start, OpenThing(OpenKind.CHORD, address, place, mark.span, at, at, chord=mark))

    def _pitches(self, timed: TimedNote) -> tuple[str, ...]:
        """The pitch that a note is read as, and that of each other reading."""
        note, instrument = timed.note, self._timeline.solo.header.instrument
        if known := note.pitch or note.heard:
            own = known.name
        elif note.fret is not None and note.touch is None and instrument.has_string(timed.string):
            own = self._spelled(timed, instrument.midi(timed.string, note.fret))
        else:
            return ()
        sounds = dict(other_pitches(timed, instrument))
        others = (
            other.name if isinstance(other, Heard) else self._spelled(timed, sounds[other]) if other in sounds else own
            for other in note.others
        )
        return own, *others

    def _spelled(self, timed: TimedNote, midi: float) -> str:
        return spelled(midi, chord_or_none(timed.chord), self._timeline.solo.header.key)

    def _rhythm(self, bar: TimedBar, timed: TimedLine, notes: Sequence[TimedNote]) -> _OpenFrom:
        offset, end = timed.begins.offset, timed.begins.offset + timed.length
        start = _seconds(bar, offset)
        thing = OpenThing(
            OpenKind.RHYTHM,
            Address(bar.number, timed.line.first),
            AddressRange(Address(bar.number, _count_at(bar, offset)), _last_count(bar, end)),
            timed.line.span,
            self._clock.at(start),
            self._clock.at(_seconds(bar, end)),
            tuple(notes),
        )
        return _OpenFrom(start, thing)

    def _of_notes(self, kind: OpenKind, notes: Sequence[TimedNote]) -> _OpenFrom:
        """One thing of several notes in a row; where the rhythm is not known, it is somewhere in its line."""
        first, last = notes[0], notes[-1]
        bar = self._written[first.begins.bar]
        thing = OpenThing(
            kind,
            first.address,
            AddressRange(
                Address(bar.number, _count_at(bar, first.begins.offset)),
                Address(bar.number, _count_at(bar, last.begins.offset)),
            ),
            Span(first.note.span.start, last.note.span.end),
            self._clock.at(first.start),
            self._clock.at(last.end),
            tuple(notes),
        )
        if thing.is_stretch:
            thing = self._as_stretch(thing, notes)
        elif first.line.doubtful:
            counts = first.line.first, first.line.last
            thing = replace(thing, place=AddressRange(*(Address(bar.number, count) for count in counts)))
        return _OpenFrom(first.start, thing)

    def _as_stretch(self, thing: OpenThing, notes: Sequence[TimedNote]) -> OpenThing:
        """A stretch goes on until something is heard; one that fills whole bars is named by them."""
        first, last = notes[0], notes[-1]
        bar = self._bar_before(last.ends)
        offset = last.release - bar.onset
        if first.begins.offset == 0 and offset >= bar.length:
            return replace(thing, place=AddressRange(Address(thing.address.bar), Address(bar.number)))
        return replace(thing, place=AddressRange(thing.place.first, _last_count(bar, offset)))

    def _bar_before(self, moment: Moment) -> TimedBar:
        """The bar that is played right before a moment."""
        bars = self._timeline.bars
        return bars[bisect_left(bars, moment.quarters, key=lambda bar: bar.onset) - 1]


def _frets_follow(timed: TimedNote) -> bool:
    """Whether the frets that are not written follow from the string."""
    return bool(timed.string) and (timed.note.pitch is None or timed.fret is not None)


def _line_of(timed: TimedNote) -> tuple[Fraction, Span]:
    """What is the same for the notes of one line: the onset of its bar, and its place in the text."""
    return timed.begins.bar, timed.line.span


def _seconds(bar: TimedBar, offset: Fraction) -> float:
    """The second of the timeline at an offset within a bar."""
    return bar.start + float(offset / bar.length) * (bar.end - bar.start)


def _count_at(bar: TimedBar, offset: Fraction) -> int:
    """The count within which an offset lies; those of a bar out of time are where its lines are."""
    begun = bisect_right(bar.lines, offset, key=_offset)
    if not begun:
        return bar.first_count
    begins, length, line, count = bar.lines[begun - 1]
    counts = line.last - line.first + 1
    return count + min(counts - 1, int((offset - begins.offset) * counts / length))


def _last_count(bar: TimedBar, end: Fraction) -> Address:
    """The last count that is begun before an offset."""
    begun = bisect_left(bar.lines, end, key=_offset)
    if not begun:
        return Address(bar.number, bar.first_count)
    begins, length, line, count = bar.lines[begun - 1]
    counts = line.last - line.first + 1
    whole, over = divmod((end - begins.offset) * counts, length)
    return Address(bar.number, count + min(counts, int(whole) + bool(over)) - 1)


def _offset(timed: TimedLine) -> Fraction:
    return timed.begins.offset
