"""What sounds: each stroke on its strings, what goes on sounding, what ends it, and every pitch on the way."""

from __future__ import annotations

from fractions import Fraction

from tabtools.model.instrument import Instrument, node_at
from tabtools.model.solo import PITCH_MOVES, Address, BeatLine, Mark, Note, Rest, Solo, Stroke
from tabtools.timeline.records import IdleHold, TimedBar, TimedLine, TimedNote, Timeline
from tabtools.timeline.spread import even_pairs, leaves, positions, swung
from tabtools.timeline.unroll import unroll

Fret = Fraction | int


def timeline_of(solo: Solo) -> Timeline:
    """A solo in time. Pure; what cannot sound has no pitch, and the checks say why."""
    strings = _Strings(solo.header.instrument)
    bars = unroll(solo)
    idle_holds: list[IdleHold] = []
    for bar in bars:
        upcoming, symbol = 0, bar.chord
        for timed in bar.lines:
            line = timed.line
            number = 0
            moments = _moments(bar, timed, solo)
            for slot, (onset, length, seconds) in zip(leaves(line.slots), moments, strict=True):
                while upcoming < len(bar.chords) and bar.chords[upcoming].onset <= onset:
                    symbol = bar.chords[upcoming].symbol
                    upcoming += 1
                if type(slot) is Stroke:
                    number += 1
                    address = Address(bar.number, line.first, number)
                    strings.strike(slot, address, line, onset, length, seconds, symbol)
                elif type(slot) is Rest:
                    strings.silence(onset, seconds)
                elif not strings.sounding:
                    idle_holds.append(IdleHold(Address(bar.number, line.first), slot))
    if bars:
        strings.silence(bars[-1].onset + bars[-1].length, bars[-1].end)
    return Timeline(solo, bars, strings.timed_notes(), tuple(idle_holds))


def _moments(bar: TimedBar, timed: TimedLine, solo: Solo) -> list[tuple[Fraction, Fraction, float]]:
    """(onset, length, seconds) of each leaf slot of a line, swung where the feel and the line ask for it."""
    line, beat, feel = timed.line, bar.meter.beat, solo.header.feel
    places = positions(line, timed.length, beat)
    per_beat = (bar.end - bar.start) / float(bar.length) * float(beat)
    start = bar.start + float((timed.onset - bar.onset) / beat) * per_beat
    onset = timed.onset
    if feel.is_swung and not bar.meter.is_compound and not bar.written.free:
        pairs = even_pairs(tuple([slot.weight for slot in line.slots]), line.last - line.first + 1)
        return [
            (onset + place.onset, place.length, start + float(swung(place.beats, pairs, feel)) * per_beat)
            for place in places
        ]
    return [(onset + place.onset, place.length, start + place.beats_as_float * per_beat) for place in places]


class _Sounding:
    """What a sounding string is doing: the note it sounds, the finger on it, and whether it rings on.

    `raised` is how many semitones a harmonic lifts the string above the fret `held`.
    """

    __slots__ = ("held", "index", "midi", "raised", "rings")

    def __init__(self, index: int, held: Fret | None, raised: float, midi: float | None, rings: bool):
        self.index = index
        self.held = held
        self.raised = raised
        self.midi = midi
        self.rings = rings


class _Strings:
    """The strings of the instrument while the solo is played."""

    def __init__(self, instrument: Instrument):
        self.instrument = instrument
        self.sounding: dict[int, _Sounding] = {}
        self.last_string = 0
        self.begun: list[tuple] = []
        self.ends: list[tuple[Fraction, float]] = []

    def silence(self, onset: Fraction, seconds: float) -> None:
        """Every string stops."""
        for sounding in self.sounding.values():
            self.ends[sounding.index] = (onset, seconds)
        self.sounding.clear()

    def strike(
        self,
        stroke: Stroke,
        address: Address,
        line: BeatLine,
        onset: Fraction,
        length: Fraction,
        seconds: float,
        symbol: str | None,
    ) -> None:
        """One stroke: new notes end what does not ring; moves of pitch alone end nothing on other strings."""
        sounding = self.sounding
        struck = [(note, self.last_string if note.string is None else note.string) for note in stroke.notes]
        origins = [sounding.get(string) if note.via else None for note, string in struck]
        self.last_string = struck[0][1]
        moment = (onset, seconds)
        new = [note for note in stroke.notes if note.via not in PITCH_MOVES]
        if new and sounding:
            for string in [string for string, one in sounding.items() if not one.rings]:
                self.ends[sounding.pop(string).index] = moment
        for part, ((note, string), origin) in enumerate(zip(struck, origins, strict=True), 1):
            fret, held, raised, path = self._pitches(note, string, origin)
            marks = note.marks + line.marks if line.marks else note.marks
            if string in sounding:
                self.ends[sounding.pop(string).index] = moment
            attack, midi = (path[0], path[-1]) if path else (None, None)
            index = len(self.begun)
            self.begun.append(
                (
                    (address, part, note, line, string, fret, held, note.via, attack, midi, path, onset),
                    (length, seconds),
                    (symbol, marks, origin.index if origin else None),
                )
            )
            self.ends.append(moment)
            rings = _rings(marks) or (origin is not None and origin.rings and note.via in PITCH_MOVES)
            sounding[string] = _Sounding(index, held, raised, midi, rings)

    def _pitches(
        self, note: Note, string: int, origin: _Sounding | None
    ) -> tuple[Fret | None, Fret | None, float, tuple[float, ...]]:
        """Fret attacked, fret held at the end, how far a harmonic lifts the string, and the path of pitches."""
        if note.dead or not self.instrument.has_string(string):
            return note.fret, note.fret, 0, ()
        open_string = self.instrument.open_midi(string)
        if note.via in PITCH_MOVES:
            fret, raised, path = _moved_pitch(note, open_string, origin)
        elif note.touch is not None:
            fret, raised, path = _harmonic(note, open_string)
        else:
            fret, raised, path = note.fret, 0, (_plus(open_string, note.fret),)
        held = fret
        for motion in note.motions:
            if motion.fret is None or not path:
                continue
            reached = _plus(open_string, motion.fret)
            if motion.sign == "pb":
                path = (reached + raised,)
            elif motion.sign in PITCH_MOVES:
                path = (*path, reached + raised)
            else:
                held, raised = motion.fret, 0
                path = (*path, reached)
        return fret, held, raised, path

    def timed_notes(self) -> tuple[TimedNote, ...]:
        """The notes struck, once all of them have ended."""
        return tuple(
            TimedNote(*what, release, slot, start, end, *context)
            for (what, (slot, start), context), (release, end) in zip(self.begun, self.ends, strict=True)
        )


def _moved_pitch(note: Note, open_string: int, origin: _Sounding | None) -> tuple[Fret | None, float, tuple]:
    """A bend, release or bar slot: the finger stays, the pitch goes to that of the written fret."""
    if note.fret is None:
        return None, 0, ()
    if origin is None or origin.midi is None:
        return note.fret, 0, (_plus(open_string, note.fret),)
    return origin.held, origin.raised, (origin.midi, _plus(open_string, note.fret) + origin.raised)


def _harmonic(note: Note, open_string: int) -> tuple[Fret, float, tuple]:
    """A touched node: natural from the open string, otherwise from the stopped fret."""
    stopped = note.fret or 0
    fret = note.touch if note.fret is None else note.fret
    node = node_at(note.touch - stopped)
    if node is None:
        return fret, 0, ()
    pitch = _plus(open_string, stopped) + node.semitones
    return fret, pitch - _plus(open_string, fret), (pitch,)


def _plus(open_string: int, fret: Fret) -> float:
    return open_string + (fret if type(fret) is int else float(fret))


def _rings(marks: tuple[Mark, ...]) -> bool:
    return any(mark.word == "ring" for mark in marks)
