"""Tunings, capo, strings and harmonics.

Outside truth: harmonic nodes from the formula of a string's modes (tests/outside/published_figures.json); what is
marked common practice is what every guitarist knows.
"""

from __future__ import annotations

import json
import math
from fractions import Fraction
from pathlib import Path

import pytest

from tabtools.model.instrument import NAMED_TUNINGS, NODES, STANDARD_GAUGES, Instrument, Tuning, node_at, tuning_of
from tabtools.model.pitch import parse_pitch

STANDARD = Instrument()
HARMONICS = json.loads((Path(__file__).parents[1] / "outside" / "published_figures.json").read_text(encoding="utf-8"))[
    "harmonic_nodes"
]


def test_strings_are_counted_from_the_highest() -> None:
    assert [STANDARD.midi(string, 0) for string in range(1, 7)] == [
        parse_pitch(name) for name in ("E4", "B3", "G3", "D3", "A2", "E2")
    ]


def test_the_fifth_fret_is_the_next_open_string_but_the_fourth_on_the_third() -> None:
    """Common practice."""
    for string in (6, 5, 4, 2):
        assert STANDARD.midi(string, 5) == STANDARD.midi(string - 1, 0)
    assert STANDARD.midi(3, 4) == STANDARD.midi(2, 0)


@pytest.mark.parametrize(
    ("string", "fret", "pitch"), [(1, 15, "G5"), (3, 7, "D4"), (2, 3, "D4"), (6, 3, "G2"), (1, 12, "E5")]
)
def test_places_every_guitarist_knows(string: int, fret: int, pitch: str) -> None:
    """Common practice."""
    assert STANDARD.midi(string, fret) == parse_pitch(pitch)


@pytest.mark.parametrize("name", NAMED_TUNINGS)
def test_the_twelfth_fret_is_the_octave_in_every_tuning(name: str) -> None:
    instrument = Instrument(tuning=tuning_of(NAMED_TUNINGS[name], name))
    for string in range(1, instrument.strings + 1):
        assert instrument.midi(string, 12) == instrument.midi(string, 0) + 12


@pytest.mark.parametrize("name", NAMED_TUNINGS)
def test_named_tunings_run_from_low_to_high(name: str) -> None:
    midi = tuning_of(NAMED_TUNINGS[name]).midi
    assert 4 <= len(midi) <= 9
    assert list(midi) == sorted(midi)


def test_tunings_named_after_others_differ_from_them_as_they_say() -> None:
    """Common practice: drop D lowers one string, half step down lowers all."""
    standard = tuning_of(NAMED_TUNINGS["standard"]).midi
    assert [low - high for low, high in zip(tuning_of(NAMED_TUNINGS["drop D"]).midi, standard, strict=True)] == [
        -2,
        0,
        0,
        0,
        0,
        0,
    ]
    assert {a - b for a, b in zip(tuning_of(NAMED_TUNINGS["half step down"]).midi, standard, strict=True)} == {-1}
    assert {a - b for a, b in zip(tuning_of(NAMED_TUNINGS["whole step down"]).midi, standard, strict=True)} == {-2}


def test_a_tuning_is_shown_by_its_name_where_it_has_one() -> None:
    assert str(tuning_of("D2 A2 D3 G3 A3 D4", "DADGAD")) == "DADGAD"
    assert str(tuning_of("D2 A2 D3 G3 A3 D4")) == "D2 A2 D3 G3 A3 D4"


def test_a_tuning_names_the_pitch_that_cannot_be_read() -> None:
    with pytest.raises(ValueError, match="A"):
        tuning_of("E2 A D3 G3")


def test_a_capo_raises_every_string_and_frets_are_counted_from_it() -> None:
    with_capo = Instrument(capo=3)
    for string in range(1, 7):
        assert with_capo.midi(string, 0) == STANDARD.midi(string, 3)
        assert with_capo.midi(string, 5) == STANDARD.midi(string, 8)


def test_frets_between_semitones() -> None:
    assert STANDARD.midi(3, Fraction(11, 2)) == 60.5
    assert isinstance(STANDARD.midi(3, Fraction(5)), int)


@pytest.mark.parametrize("string", [0, 7, -1])
def test_strings_that_are_not_there(string: int) -> None:
    assert not STANDARD.has_string(string)
    with pytest.raises(IndexError):
        STANDARD.midi(string, 0)


def test_gauges_as_they_are_sold() -> None:
    assert " ".join(str(gauge) for gauge in STANDARD_GAUGES) == "10 13 17 26w 36w 46w"


@pytest.mark.parametrize(
    ("mode", "fret"), [(row["harmonic"], fret) for row in HARMONICS["rows"] for fret in row["nodes"]]
)
def test_nodes_lie_where_the_modes_of_a_string_put_them(mode: int, fret: float) -> None:
    node = node_at(fret)
    assert node is not None
    assert node.mode == mode
    assert node.fret == pytest.approx(fret, abs=HARMONICS["last_digit"])


def test_there_are_no_other_nodes() -> None:
    listed = {(row["harmonic"], round(fret)) for row in HARMONICS["rows"] for fret in row["nodes"]}
    assert {(mode, round(fret)) for fret, mode in NODES if fret < 24.5} >= listed
    assert all(math.gcd(round(mode * (1 - 2 ** (-fret / 12))), mode) == 1 for fret, mode in NODES)


@pytest.mark.parametrize(
    ("mode", "cents"),
    [(row["harmonic"], row["cents_from_equal_temperament"]) for row in HARMONICS["rows"] if row["harmonic"] in (5, 7)],
)
def test_pure_harmonics_are_off_the_tempered_scale(mode: int, cents: float) -> None:
    node = next(node for fret, _ in NODES if (node := node_at(fret)) and node.mode == mode)
    assert (node.semitones - round(node.semitones)) * 100 == pytest.approx(cents, abs=0.05)


@pytest.mark.parametrize(
    ("written", "mode"), [(4, 5), (9, 5), (16, 5), (3, 6), (5, 4), (7, 3), (12, 2), (19, 3), (24, 4)]
)
def test_the_nodes_players_write_as_whole_frets(written: int, mode: int) -> None:
    """Common practice."""
    node = node_at(written)
    assert node is not None
    assert node.mode == mode


@pytest.mark.parametrize("fret", [1, 6.4, 11, 13.5])
def test_where_there_is_no_node(fret: float) -> None:
    assert node_at(fret) is None


def test_the_standard_tuning_is_the_default() -> None:
    assert Instrument().tuning == Tuning(("E2", "A2", "D3", "G3", "B3", "E4"), (40, 45, 50, 55, 59, 64), "standard")
