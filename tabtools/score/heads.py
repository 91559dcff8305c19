"""Events as noteheads: each note of a chord, and before it the grace notes its string is played through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from tabtools.model.solo import PITCH_MOVES
from tabtools.score.measures import ringing
from tabtools.score.records import WrittenEvent, WrittenNote
from tabtools.score.stations import Station
from tabtools.timeline import TimedNote

LEGATO = frozenset("hp")
SLIDES = frozenset("/\\")
SLURRED = LEGATO | PITCH_MOVES
"""What leads from one pitch to another on a string without a stroke in between."""


@dataclass(frozen=True, slots=True)
class Head:
    """One notehead; a grace note has no `event`.

    `begins` says that the string arrives at its station here, `struck` that the whole note begins here, `last` that
    it ends here; `rings_on`, that it sounds beyond what is written. `left_by` are the moves that leave from here.
    `rolled` is which way its chord is rolled: `up` from the low string, or `down`.
    """

    index: int
    timed: TimedNote
    station: Station
    event: WrittenEvent | None
    in_chord: bool
    struck: bool
    begins: bool
    last: bool
    tied_in: bool
    tied_out: bool
    rings_on: bool
    left_by: tuple[str, ...]
    rolled: str = ""

    @property
    def reached_by(self) -> str:
        """The move that comes here from another head, empty where none does."""
        comes_from_head = self.begins and (not self.struck or self.timed.origin is not None)
        if not comes_from_head or self.tied_in:
            return ""
        return self.station.via if self.station.via in SLURRED | SLIDES else ""

    @property
    def is_harmonic(self) -> bool:
        """Whether a harmonic is touched here, not only held on."""
        return self.struck and self.station.touched and self.timed.via not in PITCH_MOVES

    @property
    def fret(self) -> int | None:
        """The fret as MusicXML can write it: whole; the nearest for the node of a harmonic."""
        fret = self.station.fret
        if fret is None:
            return None
        return round(fret) if self.station.touched else int(fret)

    @property
    def words(self) -> dict[str, str]:
        """The marks of the note and their arguments."""
        return {mark.word: mark.argument for mark in self.timed.marks}


class Heads:
    """Makes the heads of one timeline's events: at places, with bends, or at the pitches that sound, by its stations.

    A tie joins equal pitches only: a note that another one is bent to, or let down to, is reached by its move.
    """

    def __init__(self, notes: Sequence[TimedNote], stations: Sequence[tuple[Station, ...]]):
        self.notes = notes
        self.stations = stations
        self.rings = ringing(notes)
        self.left_by: dict[int, tuple[str, ...]] = {}
        self.parted: set[int] = set()
        for note in notes:
            if note.origin is None:
                continue
            if note.via in PITCH_MOVES and stations[note.index][0].pitch != stations[note.origin][-1].pitch:
                self.parted.add(note.index)
            if note.via in LEGATO | SLIDES or note.index in self.parted:
                self.left_by[note.origin] = (*self.left_by.get(note.origin, ()), note.via)
        self.left = {notes[index].origin for index in self.parted}

    def of(self, event: WrittenEvent, end: Fraction) -> Iterator[Head]:
        """The heads of an event, grace notes first; `end` is when it ends on the timeline."""
        yield from self._graces(event)
        rolled = self._rolled(event.struck)
        for member, one in enumerate(event.notes):
            timed, stations = self.notes[one.index], self.stations[one.index]
            is_whole = len(stations) == 1
            ties_in = one.tied_in and not (one.struck and one.index in self.parted)
            yield Head(
                one.index,
                timed,
                stations[-1],
                event,
                in_chord=member > 0,
                struck=one.struck and is_whole,
                begins=one.struck,
                last=one.last,
                tied_in=ties_in and (is_whole or not one.struck),
                tied_out=one.tied_out and not (one.last and one.index in self.left),
                rings_on=one.last and not one.tied_out and self.rings[one.index] and timed.release > end,
                left_by=self.left_by.get(one.index, ()) if one.last else (),
                rolled=rolled if one.struck else "",
            )

    def _rolled(self, struck: Sequence[int]) -> str:
        words = {mark.word for index in struck for mark in self.notes[index].marks}
        if "roll" not in words or len(struck) == 1:
            return ""
        return "down" if "up" in words else "up"

    def _graces(self, event: WrittenEvent) -> Iterator[Head]:
        """The stations before the last, those of several strings side by side, the latest next to the note."""
        struck = [one for one in event.notes if one.struck]
        columns = max((len(self.stations[one.index]) for one in struck), default=1)
        for before in range(columns, 1, -1):
            in_column = [one for one in struck if len(self.stations[one.index]) >= before]
            for member, one in enumerate(in_column):
                yield self._grace(one, before, member > 0)

    def _grace(self, one: WrittenNote, before: int, in_chord: bool) -> Head:
        stations = self.stations[one.index]
        is_first = len(stations) == before
        via = stations[1 - before].via
        return Head(
            one.index,
            self.notes[one.index],
            stations[-before],
            None,
            in_chord,
            struck=is_first,
            begins=True,
            last=False,
            tied_in=is_first and one.tied_in and one.index not in self.parted,
            tied_out=False,
            rings_on=False,
            left_by=(via,) if via in SLURRED | SLIDES else (),
        )
