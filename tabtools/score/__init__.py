"""How a timeline is written: note values, ties, tuplets, beams, rests, noteheads and their spelling.

Pure and exact. The drawn tab and MusicXML are both written from these records, so that they cannot differ.
"""

from tabtools.score.measures import measures_of
from tabtools.score.records import DoubtfulStretch, Measure, Tuplet, WrittenEvent, WrittenNote
from tabtools.score.voices import unseen_rests, voices_of

__all__ = [
    "DoubtfulStretch",
    "Measure",
    "Tuplet",
    "WrittenEvent",
    "WrittenNote",
    "measures_of",
    "unseen_rests",
    "voices_of",
]
