"""What two hands can do on a neck: millimetres, newtons and milliseconds.

What a solo asks of them is in `demands`, bar by bar in `strain`.
"""

from tabtools.hand.hand import Fingered, Hand, Shift, hand_of
from tabtools.hand.profile import DEFAULT_PROFILE, HandProfile

__all__ = ["DEFAULT_PROFILE", "Fingered", "Hand", "HandProfile", "Shift", "hand_of"]
