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
from tabtools.model.solo import PITCH_MOVES
from tabtools.timeline import TimedNote

PRE_BEND = "pb"
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
    open_string = instrument.open_midi(note.string)
    station, arrives, raised = _first(note, origin, open_string)
    moves = [(motion.sign, motion.fret) for motion in note.motions if motion.fret is not None]
    for place, (sign, fret) in enumerate(moves):
        target = open_string + float(fret)
        if sign not in BENDS:
            yield station
            station, arrives, raised = Station(target, fret, sign, target), target, 0.0
            continue
        start = end = Fraction(0)
        if sign != PRE_BEND:
            start = Fraction(place, len(moves))
            end = start + Fraction(1, 2 * len(moves))
        change = PitchChange(sign, target + raised - arrives, start, end)
        station, arrives = replace(station, bends=(*station.bends, change)), target + raised
    yield station


def _first(note: TimedNote, origin: Station | None, open_string: float) -> tuple[Station, float, float]:
    """The station a note starts from, its pitch there, and how far a harmonic lifts the string above its fret."""
    written = note.note
    fret = float(written.fret or 0)
    if note.via in PITCH_MOVES and origin is not None and origin.pitch is not None and origin.arrives is not None:
        raised = origin.pitch - open_string - float(origin.fret or 0)
        arrives = open_string + fret + raised
        semitones = arrives - origin.arrives
        bends = (PitchChange(note.via, semitones, Fraction(0), Fraction(0)),) if semitones else ()
        return Station(origin.pitch, origin.fret, note.via, origin.arrives, bends, origin.touched), arrives, raised
    pitch = open_string + fret
    touch = None if note.via in PITCH_MOVES else written.touch
    node = None if touch is None else node_at(touch - (written.fret or 0))
    if node is None:
        return Station(pitch, note.fret, note.via, pitch), pitch, 0.0
    pitch += node.semitones
    raised = pitch - open_string - float(note.fret or 0)
    return Station(pitch, note.fret, note.via, pitch, touched=True), pitch, raised
