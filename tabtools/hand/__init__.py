"""What two hands can do on a neck: millimetres, newtons and milliseconds."""

from tabtools.hand.demands import CAUTION, Demands, demands_of
from tabtools.hand.hand import Fingered, Hand, Shift, hand_of
from tabtools.hand.profile import DEFAULT_PROFILE, HandProfile
from tabtools.hand.strain import BarStrain, strains_of

__all__ = [
    "CAUTION",
    "DEFAULT_PROFILE",
    "BarStrain",
    "Demands",
    "Fingered",
    "Hand",
    "HandProfile",
    "Shift",
    "demands_of",
    "hand_of",
    "strains_of",
]
