"""Chord symbols: case files of common practice, and the chord types of two reference libraries.

Outside truth: the chord types of `tonal` 6.5.1 (npm, MIT; figures in tests/outside), music21's table of chord
types and its reading of them, and the chord symbols of the lead sheets that come with music21.
"""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from harmony_cases import ROOTS, blocks_of, chord_of, chord_types, outside_rows, rows_of
from hypothesis import given
from hypothesis import strategies as st
from music21 import corpus
from music21 import harmony as music21_harmony

from tabtools.harmony.chords import canonical, same_chord, tones_of
from tabtools.model.harmony import ChordSymbol
from tabtools.notation.chords import ChordError, closed_up, read_chord

DIFFERS = {name: {row[0]: row[1] for row in rows_of(f"{name}.txt")} for name in ("tonal", "music21", "lead_sheets")}


def written(chord: ChordSymbol | None) -> str:
    if chord is None:
        return "-"
    text = f"{chord.root}: {' '.join(map(str, chord.degrees))}"
    text += f" ({' '.join(map(str, chord.available))})" if chord.available else ""
    return text + (f" / {chord.bass}" if chord.bass else "")


def how_it_differs(symbol: str, pitch_classes: frozenset[int]) -> str | None:
    try:
        chord = read_chord(symbol)
    except ChordError:
        return "refused"
    assert chord is not None
    return None if tones_of(chord).pitch_classes == pitch_classes else "other"


@pytest.mark.parametrize("row", rows_of("chords.txt"), ids=lambda row: row[0])
def test_spelling(row: tuple[str, ...]) -> None:
    symbol, degrees, one_spelling = row
    chord = read_chord(symbol)
    assert written(chord) == degrees
    assert canonical(chord) == one_spelling


@pytest.mark.parametrize("block", blocks_of("faults.txt"), ids=lambda block: block[0])
def test_fault(block: list[str]) -> None:
    symbol, below = block
    carets, _, words = below.lstrip().partition(" ")
    with pytest.raises(ChordError) as caught:
        read_chord(symbol)
    fault = caught.value
    assert f"{fault.message} | {fault.advice}" == words
    assert (fault.offset, max(fault.length, 1)) == (len(below) - len(below.lstrip()), len(carets))


def test_no_symbol_at_all() -> None:
    with pytest.raises(ChordError, match="there is no chord here"):
        read_chord("")


@pytest.mark.parametrize("root", ROOTS)
def test_one_spelling_reads_back_to_itself_on_every_root(root: str) -> None:
    for suffix in chord_types():
        assert canonical(chord_of(root + suffix)) == root + suffix


def test_chords_are_the_same_when_their_tones_and_bass_are() -> None:
    pairs = [
        ("A-7", "Ami7"),
        ("AΔ", "Amaj7"),
        ("A7b9#11", "A7(#11,b9)"),
        ("B♭6/9", "Bb69"),
        ("N.C.", "NC"),
        ("A/A", "A"),
    ]
    for one, other in pairs:
        assert same_chord(read_chord(one), read_chord(other)), (one, other)
    for one, other in [("A-7", "A7"), ("Am7", "Am7/G"), ("A6", "F#m7/A"), ("A#7", "Bb7"), ("A", "NC")]:
        assert not same_chord(read_chord(one), read_chord(other)), (one, other)


def test_core_and_extensions() -> None:
    thirteenth = tones_of(chord_of("C13/E"))
    assert (thirteenth.core, thirteenth.extensions, thirteenth.bass) == ({0, 4, 7, 10}, {2, 9}, 4)
    altered = tones_of(chord_of("C7alt"))
    assert (altered.core, altered.extensions) == ({0, 4, 10}, {1, 3, 6, 8})
    assert tones_of(chord_of("C/Bb")).pitch_classes == {0, 4, 7, 10}


# ---- outside truth


def test_tonal_reads_the_same_but_where_listed() -> None:
    found = {}
    for record in outside_rows("chord_types.json", "chord_types"):
        for alias in record["aliases"]:
            if difference := how_it_differs(f"C{alias}", frozenset(record["pitch_classes"])):
                found[alias] = difference
    assert found == DIFFERS["tonal"]


def test_music21_reads_the_same_but_where_listed() -> None:
    found = {}
    for _, abbreviations in music21_harmony.CHORD_TYPES.values():
        for abbreviation in abbreviations:
            figure = music21_harmony.ChordSymbol(f"C{abbreviation}")
            if difference := how_it_differs(f"C{abbreviation}", frozenset(p.pitchClass for p in figure.pitches)):
                found[abbreviation] = difference
    assert found == DIFFERS["music21"]


@pytest.mark.parametrize("root", ["C#", "Eb", "F#", "Ab", "B"])
def test_music21_reads_the_same_on_other_roots(root: str) -> None:
    for _, abbreviations in music21_harmony.CHORD_TYPES.values():
        for abbreviation in abbreviations[:1]:
            if abbreviation in DIFFERS["music21"]:
                continue
            figure = music21_harmony.ChordSymbol(root.replace("b", "-") + abbreviation)
            pitch_classes = frozenset(p.pitchClass for p in figure.pitches)
            assert how_it_differs(root + abbreviation, pitch_classes) is None, root + abbreviation


def test_lead_sheets_that_come_with_music21() -> None:
    """Every figure as its author wrote it; music21's pitches are from the kind the file states beside it."""
    folder = Path(corpus.__path__[0])
    sheets = [*sorted((folder / "leadSheet").glob("*.mxl")), *sorted((folder / "demos").glob("*ChordSymbols*.mxl"))]
    figures: dict[str, frozenset[int]] = {}
    for sheet in sheets:
        for figure in corpus.parse(sheet).recurse().getElementsByClass(music21_harmony.ChordSymbol):
            bass = figure.bass().name.replace("-", "b")
            root = figure.root().name.replace("-", "b")
            name = root + figure.chordKindStr + (f"/{bass}" if bass != root else "")
            figures[name] = frozenset(pitch.pitchClass for pitch in figure.pitches)
    found = {name: how_it_differs(name, classes) for name, classes in figures.items()}
    assert {name: how for name, how in found.items() if how} == DIFFERS["lead_sheets"]
    assert len(found) > 50


# ---- any text at all


SCRAPS = """
A B C D E F G H N a b # ♭ ♯ x - – + m M maj min Δ dim ° o ø aug 2 4 5 6 7 9 11 13 69 6/9 sus add no omit alt ( ) , / [
b5 #5 b9 #9 #11 b13 sus4 sus2 add9 no3 omit5 NC 7M ^ j h O 0 ∅ dom #7 +7 sus7 /13 /b9 \\ |
"""
TEXTS = st.one_of(
    st.text(max_size=60),
    st.lists(st.sampled_from([*SCRAPS.split(), " "]), max_size=12).map("".join).map(lambda text: text[:60]),
    st.builds(
        "".join, st.tuples(st.sampled_from(ROOTS), st.lists(st.sampled_from(SCRAPS.split()), max_size=4).map("".join))
    ),
)


@given(TEXTS)
def test_any_text_is_read_or_explained(text: str) -> None:
    try:
        chord = read_chord(text)
    except ChordError as fault:
        assert 0 <= fault.offset <= fault.offset + fault.length <= len(text)
        assert fault.message and fault.advice
        return
    again = read_chord(canonical(chord))
    assert canonical(again) == canonical(chord)
    if chord is not None and again is not None:
        assert (again.root, again.degrees, again.available) == (chord.root, chord.degrees, chord.available)


def test_spaces_within_brackets_are_closed_up() -> None:
    for spaced in ("A7(#9 b13)", "A7(#9, b13)", "A7( #9 ,b13 )", "A7(#9 / b13)", "A7(#9  b13)"):
        closed = closed_up(spaced)
        assert closed in ("A7(#9,b13)", "A7(#9/b13)")
        assert same_chord(read_chord(closed), read_chord(spaced))


def test_a_very_long_symbol_is_refused_at_once() -> None:
    start = time.process_time()
    for text in ("A" * 2000, "A7" + "(b9)" * 500, "A(" * 1000, "A7" + "+" * 2000, "A" + "/A" * 1000):
        with pytest.raises(ChordError):
            read_chord(text)
    assert time.process_time() - start < 1
