"""What a lesson claims about the music, as it is written."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal, NamedTuple

from tabtools.model.harmony import Degree
from tabtools.model.pitch import Tone
from tabtools.model.solo import NOWHERE, AddressRange
from tabtools.source import Span

SOUNDING = "the chord"
"""In place of a symbol: the chord that sounds there."""


class PitchClaim(NamedTuple):
    """`B3`: a note of this pitch, a MIDI number."""

    midi: int
    text: str


class ToneClaim(NamedTuple):
    """`F#`: a note of this name, in any octave."""

    tone: Tone
    text: str


class DegreeClaim(NamedTuple):
    """`3 of G9`, `third of Cm7`, `1 > 2 of Dm7`, `5 of the key`: these degrees one after another.

    A number alone is the step as the chord or the key has it: the third of Cm7 is b3. `chord` is a symbol or
    `SOUNDING`, None for the key.
    """

    degrees: tuple[Degree | int, ...]
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


class NeckClaim(NamedTuple):
    """`string 3`, `fret 7`, `3:7`, `open string`: where every note is played; None where that is left open."""

    string: int | None
    fret: int | None
    text: str


class GuideToneClaim(NamedTuple):
    """`guide tones`: every note is the third or the seventh of its chord; the sixth, where that is no seventh chord."""

    chord: str
    text: str


class InversionClaim(NamedTuple):
    """`first inversion`: which tone of the chord is lowest, 0 for the root, 1 for the third."""

    number: int
    chord: str
    text: str


class DirectionClaim(NamedTuple):
    """`ascending`, `descending`: no step goes the other way."""

    is_up: bool
    text: str


class ExtremeClaim(NamedTuple):
    """`highest note of the phrase`: nothing there is higher, or lower; `extent` is a word or a stretch."""

    is_highest: bool
    extent: Literal["solo", "phrase", "bar"] | AddressRange
    text: str


class BeatClaim(NamedTuple):
    """`on the beat`, `off the beat`, `on beat 3`, `on the and of 2`: when every note begins; `count` 0 is any."""

    is_on: bool
    count: int  # type: ignore[assignment]  # a count of the bar, not a tuple's count()
    text: str


class RhythmClaim(NamedTuple):
    """`triplets`, `sixteenths`, `syncopated`: how notes come; `tuplet` and `value` (in quarters) are 0 where unsaid."""

    tuplet: int
    value: Fraction
    text: str


class GroupsClaim(NamedTuple):
    """`groups of seven, last one short`: a figure of so many notes comes again and again."""

    size: int
    is_last_short: bool
    text: str


class IntervalClaim(NamedTuple):
    """`up a third`: so far from the first note to the last; `semitones` are all of that name, downwards below 0."""

    semitones: tuple[int, ...]
    text: str


class LikeClaim(NamedTuple):
    """`as 5.1-5.3 an octave higher`: the same notes as there, in pitch and, unless one of them is named, in rhythm."""

    range: AddressRange
    semitones: tuple[int, ...]
    has_pitches: bool
    has_rhythm: bool
    text: str


class GoalClaim(NamedTuple):
    """`resolves to C`, `leads to 3 of G7`, `leads to 5.2.1`: the note behind; what resolves comes to a chord tone."""

    goal: PitchClaim | ToneClaim | DegreeClaim | AddressRange
    resolves: bool
    text: str


class ApproachClaim(NamedTuple):
    """`chromatic approach from below`: a step to the note behind; `approached` looks at the note before instead."""

    is_chromatic: bool
    side: Literal["", "below", "above"]
    is_goal: bool
    text: str


class BendClaim(NamedTuple):
    """`bend of a whole step`: a note is bent so far, in semitones."""

    semitones: float
    text: str


class NamedClaim(NamedTuple):
    """`sequence`, `enclosure of C`, `hammer-on`: a device, role or technique by its name, or a device's own words."""

    name: str
    goal: PitchClaim | ToneClaim | DegreeClaim | AddressRange | None
    is_up: bool | None
    text: str


Statement = (
    PitchClaim
    | ToneClaim
    | DegreeClaim
    | ChordClaim
    | ScaleClaim
    | ChromaticClaim
    | CountClaim
    | PositionClaim
    | NeckClaim
    | GuideToneClaim
    | InversionClaim
    | DirectionClaim
    | ExtremeClaim
    | BeatClaim
    | RhythmClaim
    | GroupsClaim
    | IntervalClaim
    | LikeClaim
    | GoalClaim
    | ApproachClaim
    | BendClaim
    | NamedClaim
)


@dataclass(frozen=True, slots=True)
class Claim:
    """A place in the music and what is said of it; `span` is the place in the lesson, the backticks left out.

    `passage` is the name by which the lesson calls the place, empty where it gives an address.
    """

    range: AddressRange
    statements: tuple[Statement, ...]
    text: str
    span: Span = field(default=NOWHERE, compare=False)
    passage: str = ""
