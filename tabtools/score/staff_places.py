"""The line or space of a staff that a head stands on, whatever clef it is read by."""

from __future__ import annotations

from typing import NamedTuple

from tabtools.model.harmony import Key
from tabtools.model.instrument import Instrument
from tabtools.model.pitch import LETTERS, Tone
from tabtools.score.heads import Head
from tabtools.score.spelling import spelled
from tabtools.timeline.written_names import written_tone


class StaffPlace(NamedTuple):
    """A tone in its octave, 4 beginning at middle C; `cents` is how far the pitch lies above it.

    What does not `sound` at a pitch (a dead string) stands at that of its open string.
    """

    tone: Tone
    octave: int
    cents: float
    sounds: bool

    @property
    def alteration(self) -> float:
        """That of its sign, to the nearest quarter tone: 0.5 is half a sharp."""
        return self.tone.alteration + round(self.cents / 50) / 2

    @property
    def step(self) -> int:
        """The lines and spaces between it and the C of octave 0, which has 0."""
        return 7 * self.octave + LETTERS.index(self.tone.letter)


def staff_place(head: Head, instrument: Instrument, key: Key | None) -> StaffPlace | None:
    """Where a head stands; None where neither a pitch nor a string is known. Nodes of harmonics count as in tune."""
    pitch = head.station.pitch
    if pitch is not None:
        tone, octave, cents = spelled(pitch, head.timed.chord, key, written_tone(head.timed.note, pitch))
        return StaffPlace(tone, octave, 0.0 if head.station.touched else cents, True)
    if not instrument.has_string(head.timed.string):
        return None
    tone, octave, cents = spelled(instrument.open_midi(head.timed.string), head.timed.chord, key)
    return StaffPlace(tone, octave, cents, False)
