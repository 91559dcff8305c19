"""What sounds: each stroke on its strings, what goes on sounding, what ends it, and every pitch on the way."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from tabtools.model.instrument import Instrument, node_at
from tabtools.model.solo import (
    PITCH_MOVES,
    PRE_BEND,
    Address,
    BeatLine,
    Fret,
    Heard,
    Hold,
    Mark,
    Motion,
    Note,
    Rest,
    Solo,
    Stroke,
)
from tabtools.timeline.records import IdleHold, Moment, TimedNote, Timeline
from tabtools.timeline.slots import slots_in_time
from tabtools.timeline.spread import leaves
from tabtools.timeline.unroll import unroll


def timeline_of(solo: Solo) -> Timeline:
    """A solo in time. Pure; what cannot sound has no pitch, and the checks say why."""
    strings = _Strings(solo.header.instrument)
    bars = unroll(solo)
    idle_holds: list[IdleHold] = []
    for bar in bars:
        onset, start = bar.onset, bar.start
        per_count = (bar.end - start) / float(bar.length / bar.meter.beat)
        changes = [(chord.onset - onset, chord.symbol) for chord in reversed(bar.chords)]
        symbol = bar.chord
        for timed in bar.lines:
            line = timed.line
            number = 0
            places = slots_in_time(bar, timed, solo.header.feel)
            for slot, (offset, length, played) in zip(leaves(line.slots), places, strict=True):
                while changes and changes[-1][0] <= offset:
                    symbol = changes.pop()[1]
                if type(slot) is Stroke:
                    number += 1
                    address = Address(bar.number, line.first, number)
                    moment = Moment(onset, offset)
                    strings.strike(slot, address, line, moment, length, start + played * per_count, symbol)
                elif type(slot) is Rest:
                    strings.silence(Moment(onset, offset), start + played * per_count)
                elif type(slot) is Hold and not strings.sounding:
                    idle_holds.append(IdleHold(Address(bar.number, line.first), slot))
    if bars:
        strings.silence(Moment(bars[-1].onset, bars[-1].length), bars[-1].end)
    return Timeline(solo, bars, strings.timed_notes(), tuple(idle_holds))


class _Sounding:
    """A note while it sounds: `reported` as far as it is known from its start, and what its string is doing.

    `raised` is how many semitones a harmonic lifts the string above the fret `held`.
    """

    index: int
    held: Fret | None
    raised: float
    midi: float | None
    rings: bool
    ends: Moment
    end: float
    reported: _Reported

    __slots__ = ("end", "ends", "held", "index", "midi", "raised", "reported", "rings")

    def stop(self, moment: Moment, seconds: float) -> None:
        self.ends = moment
        self.end = seconds

    def timed(self) -> TimedNote:
        """The note, once it has stopped."""
        (
            address,
            part,
            note,
            line,
            string,
            fret,
            attack,
            motions,
            named,
            path,
            begins,
            slot,
            start,
            chord,
            marks,
            origin,
        ) = self.reported
        return TimedNote(
            self.index,
            address,
            part,
            note,
            line,
            string,
            fret,
            self.held,
            note.via,
            motions,
            named,
            attack,
            self.midi,
            path,
            begins,
            self.ends,
            slot,
            start,
            self.end,
            chord,
            marks,
            origin,
        )


class _Reported(NamedTuple):
    """What is known of a note when it starts; see `TimedNote`."""

    address: Address
    part: int
    note: Note
    line: BeatLine
    string: int
    fret: Fret | None
    attack: float | None
    motions: tuple[Motion, ...]
    named: Fret | None
    path: tuple[float, ...]
    begins: Moment
    slot: Fraction
    start: float
    chord: str | None
    marks: tuple[Mark, ...]
    origin: int | None


_Pitches = tuple[Fret | None, float, tuple[float, ...]]
"""The fret attacked, how far a harmonic lifts the string above it, and the path of pitches."""


class _Strings:
    """The strings of the instrument while the solo is played."""

    def __init__(self, instrument: Instrument):
        self.open = {string: instrument.open_midi(string) for string in range(1, instrument.strings + 1)}
        self.sounding: dict[int, _Sounding] = {}
        self.last_string = 0
        self.struck: list[_Sounding] = []

    def silence(self, moment: Moment, seconds: float) -> None:
        """Every string stops."""
        for one in self.sounding.values():
            one.stop(moment, seconds)
        self.sounding.clear()

    def strike(
        self,
        stroke: Stroke,
        address: Address,
        line: BeatLine,
        moment: Moment,
        length: Fraction,
        seconds: float,
        symbol: str | None,
    ) -> None:
        """One stroke: new notes end what does not ring; moves of pitch alone end nothing on other strings."""
        sounding, implied = self.sounding, self.last_string
        before = dict(sounding)
        if any(note.via not in PITCH_MOVES for note in stroke.notes):
            for string, one in before.items():
                if not one.rings:
                    one.stop(moment, seconds)
                    del sounding[string]
        for part, note in enumerate(stroke.notes, 1):
            key = -part if note.string is None else note.string
            if note.string is None and note.via:
                key = implied
            if part == 1:
                self.last_string = key
            if key in sounding:
                sounding[key].stop(moment, seconds)
            origin = before.get(key) if note.via else None
            one = sounding[key] = _Sounding()
            string = max(0, key)
            placed = _placed(note, self.open.get(string))
            fret, one.held, one.raised, path = self._pitches(placed, string, origin)
            marks = note.marks + line.marks if line.marks else note.marks
            attack, one.midi = (path[0], path[-1]) if path else (None, None)
            if note.unknown and not _is_pre_bent(note):
                attack = None
            one.index = len(self.struck)
            one.rings = bool(marks) and any(mark.word == "ring" for mark in marks)
            came_from = None
            if origin is not None:
                came_from = origin.index
                one.rings = one.rings or (origin.rings and note.via in PITCH_MOVES)
            one.reported = _Reported(
                address,
                part,
                note,
                line,
                string,
                fret,
                attack,
                placed.motions,
                placed.fret,
                path,
                moment,
                length,
                seconds,
                symbol,
                marks,
                came_from,
            )
            self.struck.append(one)

    def _pitches(
        self, note: Note, string: int, origin: _Sounding | None
    ) -> tuple[Fret | None, Fret | None, float, tuple[float, ...]]:
        """Fret attacked, fret held at the end, how far a harmonic lifts the string, and the path of pitches."""
        open_string = self.open.get(string)
        if note.dead or (open_string is None and not note.is_open):
            return note.fret, note.fret, 0, ()
        fret: Fret | None
        raised: float
        path: tuple[float, ...]
        if note.via in PITCH_MOVES:
            fret, raised, path = _moved_pitch(note, open_string, origin)
        elif note.touch is not None and open_string is not None:
            fret, raised, path = _harmonic(note.touch, note.fret, open_string)
        else:
            pitch = _pitch_of(note.fret, note.pitch, open_string)
            fret, raised, path = note.fret, 0, () if pitch is None else (pitch,)
        held = fret
        for motion in note.motions:
            reached = _pitch_of(motion.fret, motion.pitch, open_string)
            if reached is None or not (path or note.unknown):
                continue
            lifted = reached if motion.pitch else reached + raised
            if motion.sign == PRE_BEND:
                path = (*path[:-1], lifted)
            elif motion.sign in PITCH_MOVES:
                path = (*path, lifted)
            else:
                held, raised = motion.fret, 0
                path = (*path, reached)
        return fret, held, raised, path

    def timed_notes(self) -> tuple[TimedNote, ...]:
        """The notes struck, once all of them have stopped."""
        return tuple([one.timed() for one in self.struck])


def _placed(note: Note, open_string: int | None) -> Note:
    """A note with the frets that follow from its pitches, on a string that is known."""
    if open_string is None or not note.names_pitch:
        return note
    motions = tuple(motion._replace(fret=_fret_of(motion.pitch, open_string, motion.fret)) for motion in note.motions)
    return replace(note, fret=_fret_of(note.pitch, open_string, note.fret), motions=motions)


def _is_pre_bent(note: Note) -> bool:
    """Whether it is struck at the pitch of a bend, which may be known where its own is not."""
    return bool(note.motions) and note.motions[0].sign == PRE_BEND


def _fret_of(pitch: Heard | None, open_string: int, written: Fret | None) -> Fret | None:
    if pitch is None:
        return written
    return pitch.midi - open_string if pitch.midi >= open_string else None


def _pitch_of(fret: Fret | None, pitch: Heard | None, open_string: int | None) -> float | None:
    """The pitch of a fret, or the one written in its place."""
    if pitch is not None:
        return pitch.midi
    return None if fret is None or open_string is None else _plus(open_string, fret)


def _moved_pitch(note: Note, open_string: int | None, origin: _Sounding | None) -> _Pitches:
    """A bend, release or bar slot: the finger stays, the pitch goes to that of the written fret."""
    pitch = _pitch_of(note.fret, note.pitch, open_string)
    if pitch is None:
        return None, 0, ()
    if origin is None or origin.midi is None:
        return note.fret, 0, (pitch,)
    if note.pitch is None:
        pitch += origin.raised
    return origin.held, origin.raised, (origin.midi, pitch)


def _harmonic(touch: Fret, held: Fret | None, open_string: int) -> _Pitches:
    """A touched node: natural from the open string, otherwise from the stopped fret."""
    stopped = held or 0
    fret = touch if held is None else held
    node = node_at(touch - stopped)
    if node is None:
        return fret, 0, ()
    pitch = _plus(open_string, stopped) + node.semitones
    return fret, pitch - _plus(open_string, fret), (pitch,)


def _plus(open_string: int, fret: Fret) -> float:
    return open_string + (fret if type(fret) is int else float(fret))
