"""A string under tension: its weight, its pull, and what a bend takes. SI units inside: kg, m, N, Hz.

Tension: T = μ·(2·L·F)², the string makers' T = UW·(2·L·F)²/386.4 in pounds, inches and hertz.

Bending: the string is pulled sideways at the fret and its whole length from nut (or capo) to bridge
stretches. With λ the ratio of its resting length to its stretched length, the pitch follows
f = (1/2L)·√((T·λ + EA·(1 − λ))/μ) (after Grimes, PLoS ONE 9(7):e102088, 2014, there for a bend in the middle
of the string, where λ is the cosine of its angle). Friction in nut and bridge and the play of a vibrato
bridge are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from tabtools.hand.neck import nut_to_fret
from tabtools.model.instrument import STANDARD_GAUGES, Gauge, Instrument
from tabtools.model.pitch import frequency

KG_PER_METRE = 0.45359237 / 0.0254
"""One pound an inch, in kilograms a metre."""

PLAIN_DENSITY = 0.2215
"""Pounds an inch, over the square of the diameter in inches: fits the published plain strings within 0.1 %."""

WOUND_DENSITY, WOUND_DENSITY_PER_INCH = 0.1964, -0.34
"""The same for wound strings, falling with the diameter: fits the published .026, .036 and .046 within 0.5 %."""

YOUNGS_MODULUS = 200e9
"""Of music wire, in pascals (from memory; textbooks give 190 to 210 GPa)."""

BREAKING_STRESS = 2700e6
"""Of music wire, in pascals (from memory)."""

CORE_INCHES, CORE_SHARE = 0.007, 0.23
"""The steel core of a wound string in inches: 0.007 + 0.23 of the diameter (from memory: .013 in a .026)."""

USUAL_TENSION = 75.0
"""Newtons: the pull of a guitar string where no gauge says otherwise (common practice: 65 to 90)."""

HEAVIEST_PLAIN = 20


def unit_weight(gauge: Gauge) -> float:
    """Mass of a string in kilograms a metre."""
    inches = gauge.thousandths / 1000
    density = WOUND_DENSITY + WOUND_DENSITY_PER_INCH * inches if gauge.wound else PLAIN_DENSITY
    return density * inches * inches * KG_PER_METRE


def steel_area(gauge: Gauge) -> float:
    """Cross-section of the steel that carries the pull, in square metres: of a wound string its core."""
    inches = gauge.thousandths / 1000
    if gauge.wound:
        inches = min(inches, CORE_INCHES + CORE_SHARE * inches)
    return math.pi / 4 * (inches * 0.0254) ** 2


def tension(gauge: Gauge, scale_mm: float, hertz: float) -> float:
    """The pull of an open string in newtons."""
    return unit_weight(gauge) * (2 * scale_mm / 1000 * hertz) ** 2


def gauges_of(instrument: Instrument) -> tuple[Gauge, ...]:
    """A gauge for each string, highest first.

    Where the default set does not fit the number of strings, or a set names fewer strings than there are,
    the others get the gauge that pulls like a usual string at their pitch.
    """
    known = instrument.gauges
    if known == STANDARD_GAUGES and instrument.strings != len(known):
        known = ()
    rest = range(len(known), instrument.strings)
    return known[: instrument.strings] + tuple(_usual_gauge(instrument, string + 1) for string in rest)


def _usual_gauge(instrument: Instrument, string: int) -> Gauge:
    hertz = frequency(instrument.tuning.midi[-string], instrument.reference)
    mass = USUAL_TENSION / (2 * instrument.scale_mm / 1000 * hertz) ** 2
    plain = round(1000 * math.sqrt(mass / KG_PER_METRE / PLAIN_DENSITY))
    if plain <= HEAVIEST_PLAIN:
        return Gauge(max(5, plain))
    return min((Gauge(size, True) for size in range(HEAVIEST_PLAIN, 151)), key=lambda one: abs(unit_weight(one) - mass))


@dataclass(frozen=True, slots=True)
class Bend:
    """What a bend takes: travel in mm and force in N at the fret, the string's pull in N, its stress over breaking."""

    travel_mm: float
    force: float
    pull: float
    stress: float


@dataclass(frozen=True, slots=True)
class String:
    """One string of an instrument, tuned: pull in newtons and EA, the stiffness of its steel, in newtons."""

    gauge: Gauge
    pull: float
    stiffness: float
    stop_mm: float
    scale_mm: float
    capo: int

    def bend(self, fret: float, semitones: float) -> Bend:
        """Bend the string at a fret (counted from the capo) up by so many semitones."""
        share = (self.stiffness - self.pull * 2 ** (semitones / 6)) / (self.stiffness - self.pull)
        length = self.scale_mm - self.stop_mm
        behind = nut_to_fret(self.scale_mm, self.capo + fret) - self.stop_mm
        ahead = length - behind
        if share <= 0 or behind <= 0:
            return Bend(math.inf, math.inf, math.inf, math.inf)
        stretched = length / share
        travel = _sideways(behind, ahead, stretched)
        pull = self.pull + self.stiffness * (stretched - length) / length
        force = pull * travel * (1 / math.hypot(behind, travel) + 1 / math.hypot(ahead, travel))
        return Bend(travel, force, pull, pull / (self.stiffness / YOUNGS_MODULUS * BREAKING_STRESS))


def _sideways(behind: float, ahead: float, stretched: float) -> float:
    """How far to the side a string of two straight pieces is pulled when it is so long in all.

    From √(a² + d²) + √(b² + d²) = s: the piece behind is then (s + (a² − b²)/s)/2 long.
    """
    piece = (stretched + (behind * behind - ahead * ahead) / stretched) / 2
    return math.sqrt(max(0.0, piece * piece - behind * behind))


@lru_cache(maxsize=64)
def strings_of(instrument: Instrument) -> tuple[String, ...]:
    """The strings of an instrument under tension, highest first. A capo stops them, it does not tighten them."""
    scale = instrument.scale_mm
    made = []
    for number, gauge in enumerate(gauges_of(instrument), 1):
        pull = tension(gauge, scale, frequency(instrument.tuning.midi[-number], instrument.reference))
        stiffness = YOUNGS_MODULUS * steel_area(gauge)
        made.append(String(gauge, pull, stiffness, nut_to_fret(scale, instrument.capo), scale, instrument.capo))
    return tuple(made)
