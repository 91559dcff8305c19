"""How the notes of two versions sound: each written note where it is first played."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from tabtools.model.instrument import Instrument
from tabtools.model.solo import Bar, Note
from tabtools.review.change import Version
from tabtools.timeline import TimedBar, TimedNote


class Sounds:
    """The timed notes of both versions, found by the written note."""

    def __init__(self, before: Version, after: Version):
        self.before = before
        self.after = after

    @cached_property
    def _old(self) -> dict[int, TimedNote]:
        return {id(note.note): note for note in reversed(self.before.timeline.notes)}

    @cached_property
    def _new(self) -> dict[int, TimedNote]:
        return {id(note.note): note for note in reversed(self.after.timeline.notes)}

    @property
    def instruments(self) -> tuple[Instrument, Instrument]:
        return self.before.solo.header.instrument, self.after.solo.header.instrument

    def old(self, note: Note) -> TimedNote | None:
        return self._old.get(id(note))

    def new(self, note: Note) -> TimedNote | None:
        return self._new.get(id(note))

    def all_old(self, notes: Iterable[Note]) -> tuple[TimedNote, ...]:
        """Those of the notes that are played."""
        return tuple(timed for note in notes if (timed := self.old(note)))

    def all_new(self, notes: Iterable[Note]) -> tuple[TimedNote, ...]:
        """Those of the notes that are played."""
        return tuple(timed for note in notes if (timed := self.new(note)))

    def old_pitches(self, notes: Iterable[Note]) -> frozenset[float]:
        """Where the notes arrive, as MIDI numbers."""
        return frozenset(timed.midi for timed in self.all_old(notes) if timed.midi is not None)

    def new_pitches(self, notes: Iterable[Note]) -> frozenset[float]:
        """Where the notes arrive, as MIDI numbers."""
        return frozenset(timed.midi for timed in self.all_new(notes) if timed.midi is not None)

    @cached_property
    def _bars(self) -> dict[int, TimedBar]:
        timed = (*self.before.timeline.bars, *self.after.timeline.bars)
        return {id(bar.written): bar for bar in timed if bar.like is None}

    def bar(self, written: Bar) -> TimedBar | None:
        """A written bar of either version as it is played."""
        return self._bars.get(id(written))
