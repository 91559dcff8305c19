"""What happens on a string within one note: the places it is stopped at, one after the other, and its bends at each.

The last station is the note as it is written; those before it are grace notes. A station's pitch is that of its
place on the neck (of the harmonic, for a harmonic), before any bend.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from tabtools.model.instrument import Instrument, node_at
from tabtools.model.solo import PITCH_MOVES, PRE_BEND
from tabtools.timeline import TimedNote

BENDS = PITCH_MOVES | {PRE_BEND}


class PitchChange(NamedTuple):
    """A change of pitch in semitones; `sign` is `b`, `r`, `w` or `pb`.

    `start` and `end` are shares of the note's first written value.
    """

    sign: str
    semitones: float
    start: Fraction
    end: Fraction


@dataclass(frozen=True, slots=True)
class Station:
    """A place the string sounds at: `via` is the move that reaches it, `pitch` a MIDI number, None without pitch.

    `entry` is the pitch as it starts to sound there: `pitch`, but on a string that is bent already. `touched` says
    that a harmonic sounds.
    """

    pitch: float | None
    fret: Fraction | int | None
    via: str
    entry: float | None
    bends: tuple[PitchChange, ...] = ()
    touched: bool = False

    @property
    def arrives(self) -> float | None:
        """The pitch after the bends."""
        return None if self.entry is None else self.entry + sum(bend.semitones for bend in self.bends)


def stations_of(notes: Sequence[TimedNote], instrument: Instrument) -> list[tuple[Station, ...]]:
    """The stations of each note, in the order of the notes."""
    found: list[tuple[Station, ...]] = []
    for note in notes:
        origin = found[note.origin][-1] if note.origin is not None else None
        found.append(tuple(_stations(note, origin, instrument)))
    return found


def _stations(note: TimedNote, origin: Station | None, instrument: Instrument) -> Iterator[Station]:
    if not note.path:
        yield Station(None, note.fret, note.via, None)
        return
    steps = note.steps
    is_pre_bent = any(motion.sign == PRE_BEND and motion.arrives for motion in note.motions)
    arrives: float | None = None
    station = Station(None, note.fret, note.via, None)
    if note.attack is not None:
        station, arrives = _begun(note, origin, is_pre_bent, instrument)
    moves = len(steps) + is_pre_bent
    for place, (motion, pitch) in enumerate(steps, int(is_pre_bent)):
        if motion.sign not in BENDS:
            yield station
            station, arrives = Station(pitch, motion.fret, motion.sign, pitch), pitch
            continue
        if arrives is None:
            continue
        start = Fraction(place, moves)
        change = PitchChange(motion.sign, pitch - arrives, start, start + Fraction(1, 2 * moves))
        station, arrives = replace(station, bends=(*station.bends, change)), pitch
    yield station


def _begun(note: TimedNote, origin: Station | None, is_pre_bent: bool, instrument: Instrument) -> tuple[Station, float]:
    """The station before the steps of a note, and the pitch there."""
    begun = note.path[len(note.path) - len(note.steps) - 1]
    if note.note.unknown:
        return Station(begun, note.fret, note.via, begun), begun
    station, arrives = _first(note, origin, begun, is_pre_bent, instrument)
    if is_pre_bent and begun != arrives:
        station = replace(station, bends=(PitchChange(PRE_BEND, begun - arrives, Fraction(0), Fraction(0)),))
    return station, begun if is_pre_bent else arrives


def _first(
    note: TimedNote, origin: Station | None, begun: float, is_pre_bent: bool, instrument: Instrument
) -> tuple[Station, float]:
    """The station a note starts from, and its pitch there; `begun` is where its path has come to before its steps."""
    if note.via in PITCH_MOVES and origin is not None and origin.entry is not None and origin.arrives is not None:
        semitones = begun - origin.arrives
        bends = (PitchChange(note.via, semitones, Fraction(0), Fraction(0)),) if semitones else ()
        return Station(origin.pitch, origin.fret, note.via, origin.arrives, bends, origin.touched), begun
    pitch = _of_place(note, instrument) if is_pre_bent else note.path[0]
    is_touched = note.note.touch is not None and note.via not in PITCH_MOVES
    return Station(pitch, note.fret, note.via, pitch, touched=is_touched), pitch


def _of_place(note: TimedNote, instrument: Instrument) -> float:
    """The pitch of the place where a note is struck, whatever it is bent to."""
    written = note.note
    if written.pitch is not None:
        return written.pitch.midi
    fret = written.fret or 0
    touch = None if note.via in PITCH_MOVES else written.touch
    node = None if touch is None else node_at(touch - fret)
    return instrument.midi(note.string, fret) + (0 if node is None else node.semitones)
