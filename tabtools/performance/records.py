"""The records of a performance. Moments are seconds since the start of the solo, pitches are MIDI numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple


class Attack(IntEnum):
    """How a note begins. Nothing strikes a string that is slid along: its note begins where the slide arrives.

    A tick stands for what is played and not known yet: a note without a pitch, a stretch that cannot be made out.
    """

    PLUCK = 0
    HAMMER = 1
    PULL = 2
    TAP = 3
    MUTED = 4
    DEAD = 5
    HARMONIC = 6
    PINCH = 7
    TICK = 8
    SLIDE = 9


class CurveShape(IntEnum):
    """How a point of a curve is reached: at once, smoothly from the point before, or fret by fret."""

    JUMP = 0
    GLIDE = 1
    FRETS = 2


class Strike(NamedTuple):
    """A note begins: `level` is 1 for a plain plucked one; `pitch` is what it is called by, None where not known.

    `is_damped` says that palm or finger damp the string.
    """

    moment: float
    attack: Attack
    level: float
    pitch: float | None
    is_damped: bool


class CurvePoint(NamedTuple):
    """A pitch at a moment, and how it is reached."""

    moment: float
    pitch: float
    shape: CurveShape


class Vibrato(NamedTuple):
    """A stretch of vibrato, so many cents either way."""

    start: float
    end: float
    cents: int


class Swell(NamedTuple):
    """The sound grows from nothing."""

    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Voice:
    """One string from where it is set going until it stops; moves of pitch and legato go on in it.

    `string` counts from the highest, 0 where it is not known. Strikes and curve are in order of time; dead notes and
    ticks have no curve. From `fades_from` on the sound dies away with a slide to nowhere.
    """

    string: int
    start: float
    end: float
    strikes: tuple[Strike, ...]
    curve: tuple[CurvePoint, ...] = ()
    vibrato: tuple[Vibrato, ...] = ()
    swells: tuple[Swell, ...] = ()
    fades_from: float | None = None

    @property
    def notes(self) -> Iterator[tuple[Strike, float]]:
        """What begins in it, and until when: the next beginning, or the end."""
        ends = [*(strike.moment for strike in self.strikes[1:]), self.end]
        return zip(self.strikes, ends, strict=True)
