"""From counts and slots to note values, dots, ties, tuplets and beams."""

from __future__ import annotations

from fractions import Fraction

import pytest
from drawn import timeline
from generated import solos
from hypothesis import given
from music21.duration import Duration

from tabtools.engraving import NoteText
from tabtools.engraving.rhythm import Rhythm, Symbol
from tabtools.engraving.scene import scenes_of

NAMES = {-1: "breve", 0: "whole", 1: "half", 2: "quarter", 3: "eighth", 4: "16th", 5: "32nd", 6: "64th"}
SHORT = {"whole": "w", "half": "h", "quarter": "q", "eighth": "8", "16th": "16", "32nd": "32", "64th": "64"}


def rhythms(text: str, meter: str = "4/4") -> list[Rhythm]:
    timed = timeline(text, meter)
    return [scene.rhythm for scene in scenes_of(timed, [NoteText("")] * len(timed.notes))]


def written(lines: str, meter: str = "4/4") -> str:
    """A bar's values in one line: `q. 8` notes, `r8` a rest, `~8` tied on, `[16 16]` beamed, `3(8 8 8)` a tuplet."""
    rhythm = rhythms(f"bar 1\n{lines}\n", meter)[-1]
    words = [_word(symbol) for symbol in rhythm.symbols]
    for place, symbol in enumerate(rhythm.symbols):
        if symbol.beam is not None:
            run = [one for one, other in enumerate(rhythm.symbols) if other.beam == symbol.beam]
            words[place] = "[" * (place == run[0]) + words[place] + "]" * (place == run[-1])
    for tuplet in rhythm.tuplets:
        words[tuplet.first] = f"{tuplet.text}(" + words[tuplet.first]
        words[tuplet.last] += ")"
    return " ".join(words)


def _word(symbol: Symbol) -> str:
    mark = {"note": "", "tied": "~", "rest": "r"}[symbol.kind]
    return mark + SHORT[NAMES[symbol.value]] + "." * symbol.dots


@pytest.mark.parametrize(
    ("lines", "meter", "expected"),
    [
        ("1 3:7\n2 3:7\n3 3:7\n4 3:7", "4/4", "q q q q"),
        ("1-4 3:7", "4/4", "w"),
        ("1-2 3:7 -\n3-4 3:7", "4/4", "h h"),
        ("1 3:7 3:7\n2 3:7 -\n3 - 3:7\n4 - 3:7", "4/4", "[8 8] q [~8 8] [~8 8]"),
        ("1 3:7 3:7\n2 3:7 3:7 3:7 3:7\n3 . 3:7\n4 .", "4/4", "[8 8] [16 16 16 16] r8 8 rq"),
        ("1 3:7 - - 3:7\n2 3:7\n3-4 .", "4/4", "[8. 16] q rh"),
        ("1 3:7 3:7 3:7\n2 3:7 - 3:7\n3-4 3:7", "4/4", "3([8 8 8]) 3(q 8) h"),
        ("1 3:7 3:7 3:7 3:7 3:7 3:7 3:7\n2-4 .", "4/4", "7([16 16 16 16 16 16 16]) rq rh"),
        ("1-2 3:7 3:7 3:7 3:7 3:7 3:7 3:7\n3-4 3:7", "4/4", "7([8 8 8 8 8 8 8]) h"),
        ("1 (3:7 3:7 3:7) 3:7\n2-4 3:7", "4/4", "3([16 16 16) 8] h."),
        ("1-2 3:7 (3:7 3:7 3:7 3:7 3:7 3:7 3:7)*3\n3-4 .", "4/4", "8 7:6([16 16 16 16 16 16 16]) rh"),
        ("1-4 .", "4/4", "rw"),
        ("1 3:7 -\n2 - 3:7\n3-4 3:7", "4/4", "q. 8 h"),
        ("1 3:7\n2 3:7 -\n3 - 3:7\n4 3:7", "4/4", "q q [~8 8] q"),
        ("1 3:7 - -\n2 . - 3:7\n3 3:7 3:7 3:7\n4 3:7 - 3:7", "12/8 in 4", "q. rq 8 [8 8 8] q 8"),
        ("1-2 3:7 3:7\n3-4 3:7 3:7\n5-7 3:7 3:7 3:7", "7/8", "[8 8] [8 8] [8 8 8]"),
        ("1-2 3:7\n3-4 - 3:7\n5-7 3:7 - -", "7/8", "q [~8 8] q."),
        ("1 3:7\n2 3:7\n3 3:7\n4 3:7\n5 3:7\n6 3:7", "6/8", "[8 8 8] [8 8 8]"),
        ("1-2 3:7\n3 3:7", "3/4", "h q"),
        ("1 3:7 3:7 3:7 3:7 3:7\n2-3 3:7", "3/4", "5([16 16 16 16 16]) h"),
        ("1-3 3:7 3:7", "3/4", "q. 8 ~q"),
    ],
)
def test_values(lines: str, meter: str, expected: str) -> None:
    assert written(lines, meter) == expected


def test_what_sounds_over_the_bar_line_is_tied() -> None:
    first, second = rhythms("bar 1\n1-4 3:7 .\n\nbar 2\n1-4 -\n\n")
    assert [symbol.kind for symbol in first.symbols] == ["note", "rest"]
    assert second.symbols[0].fills_bar
    _, second = rhythms("bar 1\n1-4 3:7\n\nbar 2\n1-2 -\n3-4 3:5\n\n")
    assert [symbol.kind for symbol in second.symbols] == ["tied", "note"]


@pytest.mark.parametrize("slots", [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16])
def test_slots_on_a_beat_against_music21(slots: int) -> None:
    """music21 10.5.1 names the value and the tuplet of a duration; it was written by others."""
    theirs = Duration(Fraction(1, slots))
    rhythm = rhythms(f"bar 1\n1 {' '.join(['3:7'] * slots)}\n2-4 .\n")[0]
    notes = [symbol for symbol in rhythm.symbols if symbol.kind == "note"]
    assert {NAMES[symbol.value] for symbol in notes} == {theirs.type}
    ratios = [Fraction(one.numberNotesNormal, one.numberNotesActual) for one in theirs.tuplets]
    assert [factor(rhythm, notes[0])] == (ratios or [1])


@pytest.mark.parametrize("slots", [1, 2, 3, 4, 6, 8])
def test_slots_on_a_dotted_beat_against_music21(slots: int) -> None:
    theirs = Duration(Fraction(3, 2 * slots))
    rhythm = rhythms(f"bar 1\n1 {' '.join(['3:7'] * slots)}\n2-4 .\n", "12/8 in 4")[0]
    notes = [symbol for symbol in rhythm.symbols if symbol.kind == "note"]
    assert {(NAMES[symbol.value], symbol.dots) for symbol in notes} == {(theirs.type, theirs.dots)}
    assert rhythm.tuplets == ()


def factor(rhythm: Rhythm, symbol: Symbol) -> Fraction:
    """How much shorter a value is played than it is written, from the figures of its tuplets alone."""
    share = Fraction(1)
    for one in symbol.tuplets:
        shares, _, normal = rhythm.tuplets[one].text.partition(":")
        share *= Fraction(int(normal) if normal else 2 ** (int(shares).bit_length() - 1), int(shares))
    return share


@given(solos())
def test_what_is_written_lasts_as_long_as_what_is_played(text: str) -> None:
    for scene in scenes_of(timed := timeline(text), [NoteText("")] * len(timed.notes)):
        rhythm = scene.rhythm
        assert sum(symbol.length for symbol in rhythm.symbols) == scene.bar.length
        onset = Fraction(0)
        for symbol in rhythm.symbols:
            assert symbol.onset == onset
            onset += symbol.length
            value = Fraction(4) / Fraction(2) ** symbol.value * (Fraction(3, 2) if symbol.dots else 1)
            assert symbol.fills_bar or value * factor(rhythm, symbol) == symbol.length
        assert [symbol.stroke for symbol in rhythm.symbols if symbol.kind == "note"] == list(range(len(scene.struck)))
