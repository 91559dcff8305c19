"""Meter and feel. Musical time is `Fraction`, in quarter notes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

DENOMINATORS = (1, 2, 4, 8, 16, 32)


@dataclass(frozen=True, slots=True)
class Meter:
    """A time signature and how it is counted.

    `12/8` counts twelve eighths; `12/8 in 4` counts four dotted quarters: `counts` is 12 or 4.
    """

    numerator: int
    denominator: int
    counts: int

    @property
    def length(self) -> Fraction:
        """Of a bar, in quarter notes."""
        return quarters(self, self.counts)

    @property
    def beat(self) -> Fraction:
        """Of one count, in quarter notes."""
        return quarters(self, 1)

    @property
    def is_compound(self) -> bool:
        """Whether a count stands for three of the written unit."""
        return self.numerator == 3 * self.counts

    def __str__(self) -> str:
        signature = f"{self.numerator}/{self.denominator}"
        return signature if self.counts == self.numerator else f"{signature} in {self.counts}"


@lru_cache(maxsize=1024)
def quarters(meter: Meter, counts: int) -> Fraction:
    """How long so many counts last, in quarter notes."""
    return Fraction(4 * meter.numerator * counts, meter.denominator * meter.counts)


FOUR_FOUR = Meter(4, 4, 4)


@dataclass(frozen=True, slots=True)
class Feel:
    """How an even pair within a beat is played: straight, or swung long to short."""

    long: int = 1
    short: int = 1

    @property
    def is_swung(self) -> bool:
        return self.long != self.short

    @property
    def first_share(self) -> Fraction:
        """The share of the beat that the first of an even pair takes: 1/2 straight, 2/3 at 2:1."""
        return Fraction(self.long, self.long + self.short)

    def __str__(self) -> str:
        return f"swing {self.long}:{self.short}" if self.is_swung else "straight"


STRAIGHT = Feel()


def clock_in_tenths(seconds: Fraction | float) -> str:
    """A place in a recording, to the tenth of a second: `1:02.5`."""
    minutes, tenths = divmod(round(seconds * 10), 600)
    return f"{minutes}:{tenths // 10:02}.{tenths % 10}"
