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
    station, raised = _first(note, origin, open_string)
    moves = [motion for motion in note.note.motions if motion.fret is not None]
    for place, motion in enumerate(moves):
        target = open_string + float(motion.fret)
        if motion.sign not in BENDS:
            yield station
            station, raised = Station(target, motion.fret, motion.sign, target), 0.0
            continue
        start = end = Fraction(0)
        if motion.sign != PRE_BEND:
            start = Fraction(place, len(moves))
            end = start + Fraction(1, 2 * len(moves))
        change = PitchChange(motion.sign, target + raised - station.arrives, start, end)
        station = replace(station, bends=(*station.bends, change))
    yield station


def _first(note: TimedNote, origin: Station | None, open_string: float) -> tuple[Station, float]:
    """The station a note starts from, and how far a harmonic lifts the string above its fret."""
    written = note.note
    if note.via in PITCH_MOVES and origin is not None and origin.pitch is not None:
        raised = origin.pitch - open_string - float(origin.fret)
        semitones = open_string + float(written.fret) + raised - origin.arrives
        bends = (PitchChange(note.via, semitones, Fraction(0), Fraction(0)),) if semitones else ()
        return Station(origin.pitch, origin.fret, note.via, origin.arrives, bends, origin.touched), raised
    stopped = float(written.fret or 0)
    pitch = open_string + stopped
    is_harmonic = written.touch is not None and note.via not in PITCH_MOVES
    node = node_at(written.touch - stopped) if is_harmonic else None
    if node is None:
        return Station(pitch, note.fret, note.via, pitch), 0.0
    pitch += node.semitones
    return Station(pitch, note.fret, note.via, pitch, touched=True), pitch - open_string - float(note.fret)
