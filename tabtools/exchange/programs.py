"""Which sound of General MIDI 1 stands for the instrument. Programs are counted from 1."""

from __future__ import annotations

from typing import NamedTuple

from tabtools.model.instrument import Instrument

HIGHEST_BASS_STRING = 48
"""A MIDI number: an instrument without a string above it is a bass."""


class Program(NamedTuple):
    """A sound, the one its palm-muted notes have, and its name; `sound` is the standard sound of MusicXML."""

    number: int
    muted: int
    name: str
    sound: str


GUITAR = Program(28, 29, "Guitar", "pluck.guitar")
BASS = Program(34, 34, "Bass", "pluck.bass")


def program_of(instrument: Instrument) -> Program:
    """The electric guitar (clean, muted), or the electric bass (finger)."""
    return BASS if max(instrument.tuning.midi) <= HIGHEST_BASS_STRING else GUITAR
