"""The neck in millimetres: where the frets lie, how far the strings stand apart.

Frets follow equal temperament: nut to fret n is L·(1 − 2^(−n/12)). The strings fan out from the nut to the
bridge: outer strings 35 mm apart at a nut 42.9 mm wide, 52.4 mm at the bridge of a six-string guitar
(published figures, see the tests); other numbers of strings keep the same distance from string to string.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

from tabtools.model.instrument import MAX_FRETS, Instrument

NUT_SPACING_MM = 35 / 5
BRIDGE_SPACING_MM = 52.4 / 5
NUT_EDGE_MM = (42.9 - 35) / 2
"""From an outer string to the edge of the neck; taken to be the same all along it."""


def nut_to_fret(scale_mm: float, fret: float) -> float:
    """Millimetres from the nut to a fret of a string `scale_mm` long; frets may be decimal."""
    return scale_mm * (1 - 2 ** (-fret / 12))


@dataclass(frozen=True)
class Neck:
    """A neck as the fretting hand meets it. Frets are counted from the capo, millimetres from the nut.

    `frets` is the last fret that can be played, counted from the capo.
    """

    scale_mm: float = 648.0
    capo: int = 0
    frets: int = 22
    strings: int = 6
    at_fret: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        reach = range(self.capo, self.capo + 2 * MAX_FRETS)
        object.__setattr__(self, "at_fret", tuple(nut_to_fret(self.scale_mm, fret) for fret in reach))

    @property
    def stop_mm(self) -> float:
        """Where the open string ends: the nut, or the capo."""
        return self.at_fret[0]

    def mm(self, fret: float) -> float:
        """Nut to a fret counted from the capo, in millimetres."""
        return self.at_fret[fret] if isinstance(fret, int) else nut_to_fret(self.scale_mm, self.capo + fret)

    def gap(self, fret: float, other: float) -> float:
        """The distance along the neck between two frets, in millimetres."""
        return abs(self.mm(fret) - self.mm(other))

    def fret_width(self, fret: float) -> float:
        """From the fret behind to the fret, in millimetres: the room a finger has."""
        return self.mm(fret) - self.mm(fret - 1) if fret >= 1 else self.mm(1) - self.mm(0)

    def spacing(self, fret: float) -> float:
        """From string to string at a fret, in millimetres: 7.0 at the nut, 8.7 at the twelfth fret."""
        return NUT_SPACING_MM + (BRIDGE_SPACING_MM - NUT_SPACING_MM) * self.mm(fret) / self.scale_mm

    def room(self, string: int, fret: float) -> float:
        """How far a string can be pushed or pulled before it leaves the neck, to its roomier side, in mm."""
        aside = max(string - 1, self.strings - string)
        return aside * self.spacing(fret) + NUT_EDGE_MM


@lru_cache(maxsize=256)
def _neck(scale_mm: float, capo: int, frets: int, strings: int) -> Neck:
    return Neck(scale_mm, capo, frets, strings)


def neck_of(instrument: Instrument) -> Neck:
    """The neck of an instrument, from its capo on."""
    frets = max(1, instrument.frets - instrument.capo)
    return _neck(instrument.scale_mm, instrument.capo, frets, instrument.strings)
