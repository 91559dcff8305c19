"""How a timeline is played: what strikes each string, how hard, and how its pitch moves, in seconds.

The page's player and MIDI files are both written from these records, so that they cannot differ.
"""

from tabtools.performance.records import Attack, CurvePoint, CurveShape, Strike, Swell, Vibrato, Voice
from tabtools.performance.voices import voices_of

__all__ = ["Attack", "CurvePoint", "CurveShape", "Strike", "Swell", "Vibrato", "Voice", "voices_of"]
