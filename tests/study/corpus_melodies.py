"""Melodies with chords from music21's corpus, as solos in which every pitch is heard and none has a place yet.

Lead sheets and tunes have their chord symbols; of chorales the upper voice is taken, with the chords of the published
Roman numeral analyses that come with them. Bars that do not fill their meter are left out, grace notes as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from math import lcm

from music21 import chord, corpus, harmony, note, roman, stream

from tabtools.notation.build import read_solo
from tabtools.notation.chords import chord_or_none
from tabtools.source import SourceText
from tabtools.timeline import Timeline, timeline_of

LEAD_SHEETS = ("leadSheet/berlinAlexandersRagtime", "leadSheet/fosterBrownHair")
TUNES = "nottingham-dataset/reelsa-c"
CHORALES = {number: f"bach/choraleAnalyses/riemenschneider{number:03}" for number in range(1, 21)}
OCTAVE = 12


def lead_sheets() -> Iterator[Timeline]:
    """Those of the corpus, and its tunes."""
    scores = [corpus.parse(name) for name in LEAD_SHEETS]
    for score in (*scores, *corpus.parse(TUNES).scores):
        symbols = score.recurse().getElementsByClass(harmony.ChordSymbol)
        yield _solo(score.parts[0], ((one.getOffsetInHierarchy(score), one) for one in symbols))


def chorale(number: int) -> Timeline:
    """The upper voice of a chorale by its number in Riemenschneider's edition."""
    score = next(iter(corpus.chorales.Iterator(number, number, numberingSystem="riemenschneider")))
    analysis = corpus.parse(CHORALES[number])
    numerals = analysis.recurse().getElementsByClass(roman.RomanNumeral)
    return _solo(score.parts[0], ((one.getOffsetInHierarchy(analysis), one) for one in numerals))


def _solo(part: stream.Part, harmonies: Iterable[tuple[float, chord.Chord]]) -> Timeline:
    named = ((Fraction(at), _symbol(one)) for at, one in harmonies)
    changes = sorted(((at, symbol) for at, symbol in named if symbol), key=lambda change: change[0])
    bars: list[str] = []
    meter = None
    for measure in part.recurse().getElementsByClass(stream.Measure):
        meter = measure.timeSignature or meter
        if meter is None or measure.duration.quarterLength != meter.barDuration.quarterLength:
            continue
        start = Fraction(measure.getOffsetInHierarchy(part))
        count = Fraction(4, meter.denominator)
        inside = [(at, symbol) for at, symbol in changes if start < at < start + count * meter.numerator]
        before = [symbol for at, symbol in changes if at <= start]
        chords = before[-1:] + [f"{symbol}@{(at - start) // count + 1}" for at, symbol in inside if at >= start + count]
        head = f"bar {len(bars) + 1}  {' '.join(dict.fromkeys(chords))}".rstrip()
        bars.append(f"{head}\n1-{meter.numerator}  {' '.join(_slots(measure))}")
    first = part.recurse().getElementsByClass("TimeSignature")[0]
    text = f"title: A tune\nrights: public domain\nmeter: {first.ratioString}\n\n" + "\n\n".join(bars) + "\n"
    reading = read_solo(SourceText("tune", text))
    assert not reading.problems, reading.problems
    return timeline_of(reading.solo)


def _slots(measure: stream.Measure) -> Iterator[str]:
    """Notes, ties and rests with their shares."""
    sounding = [one for one in measure.notesAndRests if one.quarterLength and not isinstance(one, harmony.ChordSymbol)]
    shares = lcm(*(Fraction(one.quarterLength).denominator for one in sounding))
    for one in sounding:
        share = Fraction(one.quarterLength) * shares
        yield f"{_slot(one)}*{share}" if share > 1 else _slot(one)


def _slot(one: note.GeneralNote) -> str:
    if one.isRest:
        return "."
    if one.tie is not None and one.tie.type in ("stop", "continue"):
        return "-"
    pitch = max(one.pitches)
    return f"={pitch.name.replace('-', 'b')}{pitch.octave}"


def _symbol(one: chord.Chord) -> str:
    """The symbol as solos write it; empty for a chord that has none."""
    if isinstance(one, harmony.ChordSymbol):
        written = one.figure
    else:
        written = harmony.chordSymbolFigureFromChord(chord.Chord(one.pitches))
    symbol = written.replace("-", "b").replace("o", "dim").replace("ø", "m7b5")
    return symbol if chord_or_none(symbol) is not None else ""
