"""Which notes are told as being not of chord or scale: no note that a figure explains, and nothing twice."""

from __future__ import annotations

import pytest
from study_cases import solo_text, timeline_of_text

from tabtools.study import study_of
from tabtools.study.told_notes import told_notes


def told(key: str, *bars: str) -> list[str]:
    study = study_of(timeline_of_text(solo_text([f"key: {key}"], [*bars])))
    return [f"{one.note.address} {one.kind}: {one.said}" for one in told_notes(study)]


FIGURES = {
    "a sequence": (
        "E minor",
        [
            "bar 1  Em",
            "1  1:12 1:11 2:13 2:12",
            "2  1:11 2:13 2:12 2:10",
            "3  2:13 2:12 2:10 3:12",
            "4  2:12 2:10 3:12 3:11",
        ],
    ),
    "a triad pair": (
        "E dorian",
        ["bar 1  Cmaj7#11", "1  D4 F#4 A4", "2  G4 C5 E5", "3  F#4 A4 D5", "4  C5 E5 G5"],
    ),
    "an arpeggio up to the ninth": ("F major", ["bar 1  Fmaj7", "1  A3 C4", "2  E4 G4", "3  F4 -", "4  -"]),
}


@pytest.mark.parametrize("name", FIGURES)
def test_what_a_figure_explains_is_not_told_again(name: str) -> None:
    key, bars = FIGURES[name]
    assert told(key, *bars) == []


def test_an_enclosure_in_no_figure_is_told() -> None:
    assert told("F major", "bar 1  Gm7", "1  Bb4 -", "2  A4 F#4", "3  G4 -", "4  -") == [
        "1.2.2 enclosure: A and F# enclose G, 1 of Gm7",
    ]


def test_an_anticipation_with_which_an_arpeggio_begins_is_told() -> None:
    assert told("C major", "bar 1  Eb7", "1-3  G4 - -", "4  C5", "bar 2  Am7", "1  - A4", "2  E4 C4", "3  A3 -") == [
        "1.4.1 anticipation: C, 6 of Eb7, held into the next chord: b3 of Am7"
    ]


RIFF = ["1  6:0 5:7+4:9", "2  5:5+4:7 5:3+4:5"]


def test_a_power_chord_is_told_once_and_by_its_name() -> None:
    bars = ["bar 1  E5", *RIFF, "3  6:0 5:1+4:3", "4  5:2+4:4 -"]
    assert told("E minor", *bars) == ["1.3.2 approach: Bb5, a semitone below B5"]


SIXTHS = ["bar 1  D7", "1  3:11+1:10 3:11+1:10", "2  3:10+1:9 3:10+1:9", "3  3:9+1:8 -", "4  3:5+1:5 -"]


def test_sixths_that_slide_are_told_once() -> None:
    assert told("A blues", *SIXTHS) == [
        "1.2.1 passing tone: F, b3 of D7, between F# and E in its voice; Db, between D and C in its voice"
    ]


def test_the_line_of_a_turnaround_passes_under_the_tone_that_is_struck_again() -> None:
    bars = ["bar 1  A7", "1  4:5+1:5 4:5 1:5", "2  4:4+1:5 4:4 1:5", "3  4:3+1:5 4:3 1:5", "4  4:2+1:5 - -"]
    assert told("A blues", *bars) == ["1.3.1 passing tone: F, b6 of A7, between F# and E in its voice"]


def test_a_voice_that_leaps_passes_nothing() -> None:
    bars = ["bar 1  A7", "1  4:7+1:5 4:7 1:5", "2  4:7+1:5 4:7 1:5", "3  4:3+1:5 1:5 1:5", "4  4:0+1:5 - -"]
    (said,) = told("A blues", *bars)
    assert said.startswith("1.3.1 outside: F")


def test_a_colour_of_a_lydian_chord_is_not_outside_whatever_the_key() -> None:
    assert told("E dorian", "bar 1  Ebmaj7#11", "1  G4 C5", "2  G4 F5", "3  Bb4 -") == []
    (said,) = told("E dorian", "bar 1  Ebmaj7#11", "1  G4 C5", "2  G4 Ab5", "3  Bb4 -")
    assert said.startswith("1.2.2 outside: Ab")


def test_a_minor_third_before_the_major_third_is_a_flat() -> None:
    assert told("G major", "bar 1  G", "1  6:3 -", "2  5:1 5:2") == [
        "1.2.1 approach: Bb, b3 of G, rises to the major third, B"
    ]
    assert told("G major", "bar 1  Em7", "1  D4 -", "2  A#3 B3") == [
        "1.2.1 approach: A#, an appoggiatura, gives way to B, 5 of Em7"
    ]


TOLD_WITH_THE_REST = {
    "both notes of an enclosure": (
        ["bar 1  C", "1  G4 -", "2  F#4 D#4", "3  E4 -", "4  -"],
        ["1.2.1 enclosure: F# and D# enclose E, 3 of C"],
    ),
    "notes of a chromatic run": (["bar 1  C", "1  G4 F#4", "2  F4 E4", "3  Eb4 D4", "4  C4 -"], []),
    "an altered tone over an altered dominant": (["bar 1  G7b9", "1  B4 -", "2  A4 Ab4", "3  G4 -", "4  F4 -"], []),
    "the same tone over a plain one": (
        ["bar 1  G7", "1  B4 -", "2  A4 Ab4", "3  G4 -", "4  F4 -"],
        ["1.2.2 passing tone: Ab, b2 of G7, between A and G"],
    ),
    "the same in the same place": (
        ["bar 1  C", "1  E4 D#4", "2  E4 -", "3-4  .", "bar 2  C", "1  E4 D#4", "2  E4 -", "3-4  ."],
        ["1.1.2 neighbour tone: D#, the lower neighbour of E; also 2.1.2"],
    ),
}


@pytest.mark.parametrize("name", TOLD_WITH_THE_REST)
def test_what_is_told_with_the_rest(name: str) -> None:
    bars, expected = TOLD_WITH_THE_REST[name]
    assert told("C major", *bars) == expected
