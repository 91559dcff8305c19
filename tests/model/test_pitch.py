"""Names, numbers and frequencies of pitches.

Outside truth: A4 is 440 Hz (ISO 16:1975) and MIDI note 69, middle C is 60 (MIDI 1.0).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tabtools.model.pitch import Tone, frequency, nearest_semitone, parse_pitch, parse_tone, pitch_name


@pytest.mark.parametrize(
    ("name", "midi"),
    [
        ("C4", 60),
        ("A4", 69),
        ("E2", 40),
        ("C-1", 0),
        ("G9", 127),
        ("C#4", 61),
        ("Db4", 61),
        ("B#3", 60),
        ("Cb4", 59),
        ("F##4", 67),
        ("Abb4", 67),
        ("E4", 64),
    ],
)
def test_names_and_numbers(name: str, midi: int) -> None:
    assert parse_pitch(name) == midi


@pytest.mark.parametrize("text", ["", "D", "d4", "H4", "D10", "D#b4", "4D", "D 4", "D4 ", "Dx4", "D###4", "D٤"])
def test_what_is_no_pitch(text: str) -> None:
    with pytest.raises(ValueError, match=r".*"):
        parse_pitch(text)


@pytest.mark.parametrize("text", ["", "c", "H", "C#b", "C###", "Cbbb", "C4"])
def test_what_is_no_tone(text: str) -> None:
    with pytest.raises(ValueError, match=r".*"):
        parse_tone(text)


def test_tones() -> None:
    assert parse_tone("Gb") == Tone("G", -1)
    assert parse_tone("Gb").pitch_class == parse_tone("F#").pitch_class == 6
    assert [str(parse_tone(text)) for text in ("C", "F##", "Bbb")] == ["C", "F##", "Bbb"]


@given(st.integers(0, 127), st.booleans())
def test_a_name_leads_back_to_its_number(midi: int, flats: bool) -> None:
    assert parse_pitch(pitch_name(midi, flats=flats)) == midi


def test_off_the_semitone_a_name_says_so_in_cents() -> None:
    assert [pitch_name(midi) for midi in (60.5, 60.25, 60.75, 60.05, 59.863)] == [
        "C4+50c",
        "C4+25c",
        "C#4-25c",
        "C4",
        "C4-14c",
    ]


def test_a_tone_spells_the_name() -> None:
    assert pitch_name(61, Tone("D", -1)) == "Db4"
    assert pitch_name(60, Tone("B", 1)) == "B#3"
    assert pitch_name(59, Tone("C", -1)) == "Cb4"
    assert pitch_name(60.3, Tone("B", 1)) == "B#3+30c"


def test_an_exact_quarter_tone_counts_from_below() -> None:
    assert [nearest_semitone(midi) for midi in (60.49, 60.5, 60.51)] == [60, 60, 61]


def test_equal_temperament() -> None:
    assert frequency(69) == 440
    assert frequency(81) == pytest.approx(880)
    assert frequency(57) == pytest.approx(220)
    assert frequency(60) == pytest.approx(261.6256, abs=1e-4)
    assert frequency(69, reference=442) == 442
    assert frequency(69.5) / frequency(69) == pytest.approx(2 ** (1 / 24))
