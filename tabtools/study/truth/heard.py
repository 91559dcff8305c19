"""The notes a claim speaks of, and the solo around them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from tabtools.harmony.degrees import degree
from tabtools.model.harmony import Key
from tabtools.model.pitch import nearest_semitone
from tabtools.model.solo import AddressRange
from tabtools.notation.chords import chord_or_none
from tabtools.study.labels import pitch_in_words
from tabtools.study.study import Study
from tabtools.timeline import TimedBar, TimedNote, Timeline
from tabtools.timeline.places import PlaceError, notes_at
from tabtools.timeline.readings import other_pitches
from tabtools.timeline.written_names import written_tone


class SaysNothing(str):
    """Why a claim is no claim: it would be true of too much, or is always true."""


class HeardNotes:
    """The notes a claim speaks of: those with a pitch, and those that begin one; and the solo they stand in.

    `pitches` are the MIDI numbers that `notes` arrive at. `unknown` are those whose pitch is not known yet, `unplaced`
    those whose place is not. `others` are notes with another reading in place of their own. `study` is the solo
    studied; it is asked for only where a claim names what is found by that. `positions` are those of the hand as it
    frets the notes, as far as they matter.
    """

    def __init__(
        self,
        notes: Sequence[TimedNote],
        timeline: Timeline,
        study: Callable[[], Study],
        positions: tuple[int, ...] = (),
    ):
        header = timeline.solo.header
        pitched = [(note, note.midi) for note in notes if note.midi is not None]
        self.named = tuple(notes)
        self.notes = [note for note, _ in pitched]
        self.pitches = [midi for _, midi in pitched]
        self.struck = [note for note in notes if not note.note.only_moves_pitch]
        self.unknown = [note for note in notes if note.note.unknown or note.note.unheard]
        self.unplaced = [note for note in self.struck if note.note.is_open and note.fret is None]
        self.others = [
            note._replace(attack=midi, midi=midi, path=(midi,))
            for note in self.notes
            for _, midi in other_pitches(note, header.instrument)
        ]
        self.key: Key | None = header.key
        self.timeline = timeline
        self.positions = positions
        self._study = study

    @property
    def study(self) -> Study:
        return self._study()

    def at(self, stretch: AddressRange) -> HeardNotes | None:
        """The notes of another stretch, None where there is no such place."""
        try:
            return HeardNotes(notes_at(self.timeline, stretch), self.timeline, self._study)
        except PlaceError:
            return None

    def readings(self, note: TimedNote) -> list[TimedNote]:
        """All readings of a note, its own first."""
        return [one for one in (*self.notes, *self.others) if one.index == note.index]

    @property
    def pitch_classes(self) -> set[int]:
        return {nearest_semitone(midi) % 12 for midi in self.pitches}

    @property
    def line(self) -> list[TimedNote]:
        """One note a stroke, the highest that sounds; what only moves the pitch of one goes with it."""
        return top_line(self.notes)

    def following(self) -> list[TimedNote]:
        """The notes of the stroke behind the last one, empty at the end of the solo."""
        return self._beside(range(self.named[-1].index + 1, len(self.timeline.notes))) if self.named else []

    def preceding(self) -> list[TimedNote]:
        """The notes of the stroke before the first one, empty at the beginning of the solo."""
        return self._beside(range(self.named[0].index - 1, -1, -1)) if self.named else []

    def _beside(self, indices: range) -> list[TimedNote]:
        found: list[TimedNote] = []
        for index in indices:
            note = self.timeline.notes[index]
            if found and note.address != found[0].address:
                break
            found.append(note)
        return sorted(found, key=lambda note: note.index)

    def bar_of(self, note: TimedNote) -> TimedBar:
        return self.timeline.bar_numbers[note.address.bar]

    def name(self, note: TimedNote) -> str:
        """`F#4`, as chord and key spell it; what a note has no pitch for is said."""
        if note.midi is None:
            return "a dead note" if note.note.dead else "a note without a pitch"
        return pitch_in_words(note, note.midi, self.key)

    def told(self, note: TimedNote) -> str:
        """`5.2.3 is F#4, the 3 of D7`."""
        chord = chord_or_none(note.chord)
        said = f"{note.address} is {self.name(note)}"
        if chord is None or note.midi is None:
            return said
        return f"{said}, the {degree(note.midi, chord, tone=written_tone(note.note, note.midi))} of {note.chord}"

    def beats_in(self, note: TimedNote) -> Fraction:
        """How many beats after the first count of its bar a note begins."""
        bar = self.bar_of(note)
        return note.begins.offset / bar.meter.beat + bar.first_count - 1


def top_line(notes: Sequence[TimedNote]) -> list[TimedNote]:
    """One note a stroke, the highest; notes that only move a pitch stand for themselves."""
    highest: dict[object, TimedNote] = {}
    for note in notes:
        before = highest.get(note.address)
        if before is None or (note.midi or 0) > (before.midi or 0):
            highest[note.address] = note
    return list(highest.values())
