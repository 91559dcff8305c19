"""What a lesson claims about the music, as it is written."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from tabtools.model.harmony import Degree
from tabtools.model.pitch import Tone
from tabtools.model.solo import NOWHERE, AddressRange
from tabtools.source import Span


class PitchClaim(NamedTuple):
    """`B3`: a note of this pitch, a MIDI number."""

    midi: int
    text: str


class DegreeClaim(NamedTuple):
    """`3 of G9`, `1 > 2 of Dm7`, `5 of the key`: these degrees one after another; `chord` is None for the key."""

    degrees: tuple[Degree, ...]
    chord: str | None
    text: str


class ChordClaim(NamedTuple):
    """`F triad`, `Am7 arpeggio`: exactly the tones of this chord."""

    symbol: str
    text: str


class ScaleClaim(NamedTuple):
    """`D minor pentatonic`: only tones of this scale."""

    tonic: Tone
    scale: str
    text: str


class ChromaticClaim(NamedTuple):
    """`chromatic`: every step a semitone."""

    text: str = "chromatic"


class CountClaim(NamedTuple):
    """`7 notes`: so many notes are struck, hammered, pulled, slid or tapped to."""

    notes: int
    text: str


class PositionClaim(NamedTuple):
    """`position 5`: the first finger's fret."""

    fret: int
    text: str


Statement = PitchClaim | DegreeClaim | ChordClaim | ScaleClaim | ChromaticClaim | CountClaim | PositionClaim


@dataclass(frozen=True, slots=True)
class Claim:
    """A place in the music and what is said of it; `span` is the place in the lesson, the backticks left out."""

    range: AddressRange
    statements: tuple[Statement, ...]
    text: str
    span: Span = field(default=NOWHERE, compare=False)
