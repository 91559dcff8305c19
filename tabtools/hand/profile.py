"""What the player's hands do: limits in millimetres, newtons and notes a second, each with where it comes from.

Three tags: *data* is read off the 2,069 voicings of chords-db 0.5.1 (MIT), *published* has its source named,
*assumed* has no measurement behind it and was set so that playing the trade calls ordinary passes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from tabtools.model.solo import Header

SIZES = {"small": 0.92, "medium": 1.0, "large": 1.08}
"""Factor on reaches and, for a bend, on force (assumed)."""

COMFORT_STRAIN, WARNING_STRAIN, ERROR_STRAIN = 0.0, 0.5, 1.0


class Limit(NamedTuple):
    """A scale of effort: up to `comfort` it is nothing, above `warning` doubtful, above `error` not possible."""

    comfort: float
    warning: float
    error: float

    def strain(self, figure: float) -> float:
        """0 up to comfort, 0.5 at the warning, 1 at the error, on from there in proportion.

        Where the warning is the error, everything above it is an error.
        """
        if figure <= self.comfort:
            return 0.0
        if figure <= self.warning:
            return 0.5 * (figure - self.comfort) / (self.warning - self.comfort)
        if self.error == self.warning:
            return figure / self.error
        return 0.5 + 0.5 * (figure - self.warning) / (self.error - self.warning)

    def times(self, factor: float) -> Limit:
        return Limit(self.comfort * factor, self.warning * factor, self.error * factor)


REACH = {
    (1, 2): Limit(56, 67, 100),
    (1, 3): Limit(71, 73, 115),
    (1, 4): Limit(98, 100, 130),
    (2, 3): Limit(37, 50, 75),
    (2, 4): Limit(66, 67, 105),
    (3, 4): Limit(37, 56, 75),
}
"""Millimetres along the neck between two fretting fingers that are down together.

Comfort is the data's 95th percentile, or one finger a fret at the first fret where that is wider; the warning
its 99th percentile, or 100 mm for fingers 1 and 4, where all voicings stay below 97; the error is assumed:
130 mm between fingers 1 and 4, in proportion between the others and above all that the data has.
"""

SLUR_EASE = 1.22
"""How much farther the first finger and another get one after the other, the hand turning, than when both must stay
down (assumed): it lets pass what is common practice, a third finger pulled off over three frets in a box, a fourth over
five frets from the fifth on at the end of a sweep."""

BEND_FORCE, LONE_BEND_FORCE = Limit(14, 20, 40), Limit(8, 14, 28)


@dataclass(frozen=True)
class HandProfile:
    """A player, warmed up: the default is a medium hand.

    `size` is `small`, `medium` or `large` and scales the reaches. Rates are notes a second over a sliding
    second, (warning, error). `shift` is the a and b of Fitts' law in seconds and seconds a bit. Forces are
    newtons at the finger.
    """

    size: str = "medium"
    pick_rate: tuple[float, float] = (14, 21)
    """Published: 21 is a record holder's fastest counted burst (milehighshred.com). The warning: a hand taps 5 to 7
    times a second, 10 in the fastest drummer (Fujii 2009, Neuroscience Letters 459:69), and a pick sounds both ways,
    so that 10 to 14 is strong playing."""
    legato_rate: tuple[float, float] = (16, 24)
    """Assumed: no measured limit was found for legato and two-hand tapping."""
    tremolo_rate: tuple[float, float] = (17, 21)
    """Assumed, but for the record of 21: one place picked again and again, the fretting hand at rest."""
    shift: tuple[float, float] = (0.020, 0.040)
    """Assumed: published constants for pointing (50 ms, 100 ms a bit) forbid what players do every day."""
    crossing: tuple[float, float] = (0.010, 0.030)
    """The same for the pick's way across the strings, in seconds and seconds a bit (assumed)."""
    bend_force: Limit = BEND_FORCE
    """Assumed: a whole step is everyday on plain strings (7 to 15 N), two steps the edge (common practice)."""
    lone_bend_force: Limit = LONE_BEND_FORCE
    """The same for a finger that no other can help: the first, or one whose helpers are busy (assumed)."""

    @cached_property
    def scale(self) -> float:
        return SIZES[self.size]

    @cached_property
    def reach(self) -> dict[tuple[int, int], Limit]:
        """`REACH` for a hand of this size."""
        return {pair: limit.times(self.scale) for pair, limit in REACH.items()}

    @cached_property
    def slur_reach(self) -> dict[tuple[int, int], Limit]:
        """The same for two fingers of a slur; what is not possible is so here as well."""
        return {
            pair: Limit(limit.comfort * SLUR_EASE, limit.warning * SLUR_EASE, limit.error) if pair[0] == 1 else limit
            for pair, limit in self.reach.items()
        }

    def shift_seconds(self, travel_mm: float, target_mm: float) -> float:
        """The time a hand needs for a shift, by Fitts' law: a + b·log2(D/W + 1)."""
        start, per_bit = self.shift
        return start + per_bit * math.log2(travel_mm / target_mm + 1) if travel_mm else 0.0

    def crossing_seconds(self, strings: int) -> float:
        """The time a pick needs from one string to another, by Fitts' law with a string's distance as target."""
        start, per_bit = self.crossing
        return start + per_bit * math.log2(strings + 1) if strings else 0.0


SHIFT_LIMIT = Limit(0.7, 1.0, 2.0)
"""Time needed over time there is, for a shift (assumed)."""

DEFAULT_PROFILE = HandProfile()


def profile_for(header: Header, profile: HandProfile = DEFAULT_PROFILE) -> HandProfile:
    """The profile for one solo: the header's `hand` overrides the size."""
    return replace(profile, size=header.hand) if header.hand and header.hand != profile.size else profile
