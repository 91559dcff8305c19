"""The other readings of a note of which the writer is not sure."""

from __future__ import annotations

from collections.abc import Iterator

from tabtools.model.instrument import Instrument
from tabtools.model.solo import Heard, Place
from tabtools.timeline.records import TimedNote


def other_pitches(timed: TimedNote, instrument: Instrument) -> Iterator[tuple[Place | Heard, float]]:
    """The other readings of a note that sound neither the pitch it starts at nor the one it reaches, with theirs."""
    for other in timed.note.others if timed.attack is not None else ():
        if isinstance(other, Heard):
            sounds: float = other.midi
        elif instrument.has_string(other.string):
            sounds = instrument.midi(other.string, other.fret)
        else:
            continue
        if sounds not in (timed.attack, timed.midi):
            yield other, sounds


def is_one_pitch(timed: TimedNote, instrument: Instrument) -> bool:
    """Whether the readings of a note are places of one and the same pitch, so that only the place is in doubt."""
    others = timed.note.other_places
    return (
        bool(others)
        and len(others) == len(timed.note.others)
        and timed.attack is not None
        and all(
            instrument.has_string(other.string) and instrument.midi(other.string, other.fret) == timed.attack
            for other in others
        )
    )
