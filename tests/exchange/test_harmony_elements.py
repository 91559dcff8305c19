"""What music21 makes of our `harmony` elements is what the symbols mean; kinds are the standard's."""

from __future__ import annotations

import pytest
from exported import timeline
from music21 import converter
from music21.harmony import ChordSymbol, NoChord

from tabtools.exchange import musicxml
from tabtools.exchange.chord_symbols import KindChange, kind_of
from tabtools.harmony.chords import tones_of
from tabtools.model.harmony import parse_degree
from tabtools.notation.chords import read_chord

ROOTS = ("C", "F#", "Bb")
TYPES = (
    *("", "m", "7", "maj7", "m7", "m7b5", "dim", "dim7", "aug", "m(maj7)", "6", "m6", "9", "maj9", "m9", "5"),
    *("sus2", "sus4", "7sus4", "9sus4", "13", "m11", "6/9", "7b9", "7#9", "7(b9,#11)", "maj7#11", "7b5", "13b9"),
    *("add9", "madd9", "maj7#5", "7alt"),
)
SYMBOLS = [root + kind for root in ROOTS for kind in TYPES] + ["C/G", "Bb7/D", "F#m7/E", "D/C"]
SYMBOLS += [
    "C7M",
    "Gsus7",
    "Gsus13",
    "Cm9(maj7)",
    "Cj7",
    "C∅7",
    "Cm(#7)",
    "CO7",
    "Cmaj7/6",
    "C7/13/E",
    "Cdom7",
    "E7(#9 b13)",
]


def read(symbol: str) -> ChordSymbol:
    document = musicxml(timeline(f"meter: 4/4\n\nbar 1  {symbol}\n1-4  3:7\n"))
    score = converter.parse(document, format="musicxml", forceSource=True)
    return next(iter(score.recurse().getElementsByClass(ChordSymbol)))


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_music21_reads_the_chord(symbol: str) -> None:
    chord = read_chord(symbol)
    asked = {(chord.root.pitch_class + degree.semitones) % 12 for degree in chord.degrees}
    asked.add(tones_of(chord).bass)
    assert {pitch.pitchClass for pitch in read(symbol).pitches} == asked
    assert read(symbol).bass().pitchClass == tones_of(chord).bass


def test_no_chord() -> None:
    assert isinstance(read("NC"), NoChord)


@pytest.mark.parametrize(
    ("symbol", "kind", "changes"),
    [
        ("C7sus4", "dominant", [("subtract", 3, 0), ("add", 4, 0)]),
        ("C13", "dominant-ninth", [("add", 13, 0)]),
        ("C7#9", "dominant", [("add", 9, 1)]),
        ("Cmaj7#5", "major-seventh", [("alter", 5, 1)]),
        ("C7b5", "dominant", [("alter", 5, -1)]),
        ("Cm7b5", "half-diminished", []),
        ("Caug7", "augmented-seventh", []),
        ("Cm(maj7)", "major-minor", []),
        ("C7M", "major-seventh", []),
        ("Cm(#7)", "major-minor", []),
        ("Cm9(maj7)", "major-minor", [("add", 9, 0)]),
        ("CO7", "diminished-seventh", []),
        ("C∅7", "half-diminished", []),
        ("Gsus7", "dominant", [("subtract", 3, 0), ("add", 4, 0)]),
        ("C7/13", "dominant", [("add", 13, 0)]),
    ],
)
def test_kinds(symbol: str, kind: str, changes: list[tuple[str, int, int]]) -> None:
    """The type `kind-value` of MusicXML 4.0 says which tones each kind has."""
    assert kind_of(read_chord(symbol).degrees) == (kind, tuple(KindChange(*change) for change in changes))


def test_an_added_seventh_is_measured_against_the_minor_one() -> None:
    """The type `degree-alter` of MusicXML 4.0: added degrees are relative to a dominant chord."""
    degrees = tuple(map(parse_degree, ["1", "3", "5", "b7", "7"]))
    assert kind_of(degrees) == ("dominant", (KindChange("add", 7, 1),))
