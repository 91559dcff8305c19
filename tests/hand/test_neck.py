"""The neck against published figures: frets (stuphi.co.uk, noah.org), string spacing."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tabtools.hand.neck import Neck, neck_of, nut_to_fret
from tabtools.model.instrument import STANDARD_INSTRUMENT, Instrument

FIGURES = json.loads((Path(__file__).parents[1] / "outside" / "published_figures.json").read_text(encoding="utf-8"))
INCH = 25.4


@pytest.mark.parametrize("row", FIGURES["fret_to_bridge"]["rows"], ids=lambda row: f"fret {row['fret']}")
def test_fret_to_bridge(row: dict) -> None:
    """Published: stuphi.co.uk, for a scale of 25 inches."""
    scale = FIGURES["fret_to_bridge"]["scale_length_in"]
    assert scale - nut_to_fret(scale, row["fret"]) == pytest.approx(row["distance"], abs=0.001)


@pytest.mark.parametrize("row", FIGURES["nut_to_fret_fraction"]["rows"], ids=lambda row: f"fret {row['fret']}")
def test_fraction_of_the_scale(row: dict) -> None:
    """Published: noah.org. One of its figures is off by less than one unit of its last digit."""
    assert nut_to_fret(1, row["fret"]) == pytest.approx(row["fraction"], abs=row["last_digit"] or 1e-12)


def test_the_rule_of_18_would_put_the_twelfth_fret_too_low() -> None:
    """Common practice of old makers, and wrong: each fret a eighteenth of what is left."""
    by_rule = 648 * (1 - (17 / 18) ** 12)
    assert nut_to_fret(648, 12) - by_rule == pytest.approx(2.4, abs=0.4)


def test_string_spacing() -> None:
    """Published, without a named source: outer strings 35 mm apart at the nut, 52.4 mm at the bridge."""
    neck, spacing = Neck(), FIGURES["string_spacing"]
    assert 5 * neck.spacing(0) == pytest.approx(spacing["outer_strings_at_nut"])
    assert 5 * neck.spacing(12) == pytest.approx(
        (spacing["outer_strings_at_nut"] + spacing["outer_strings_at_bridge"]) / 2
    )
    assert neck.spacing(12) == pytest.approx(8.7, abs=0.05)


@pytest.mark.parametrize(("fret", "mm"), [(1, 126), (15, 56)])
def test_a_stretch_of_four_frets_halves_along_the_neck(fret: int, mm: float) -> None:
    """Computed for a scale of 25.5 inches."""
    assert Neck(25.5 * INCH).gap(fret, fret + 4) == pytest.approx(mm, abs=0.5)


def test_a_capo_moves_the_frets_up() -> None:
    plain, capoed = Neck(648), neck_of(Instrument(capo=5))
    assert capoed.mm(0) == capoed.stop_mm == plain.mm(5)
    assert capoed.gap(1, 5) == pytest.approx(plain.gap(6, 10))
    assert capoed.frets == 17
    assert capoed.mm(2.5) == pytest.approx(nut_to_fret(648, 7.5))


@pytest.mark.parametrize(("string", "strings"), [(1, 6), (6, 6), (3, 6), (2, 4), (5, 9)])
def test_room_for_a_bend_is_the_roomier_side(string: int, strings: int) -> None:
    neck = Neck(strings=strings)
    aside = max(string - 1, strings - string)
    assert aside * neck.spacing(12) < neck.room(string, 12) < (aside + 1) * neck.spacing(12)


def test_the_neck_of_the_usual_instrument() -> None:
    assert neck_of(STANDARD_INSTRUMENT) == Neck(648.0, 0, 22, 6)


def test_a_finger_has_the_width_of_its_fret() -> None:
    neck = Neck()
    assert neck.fret_width(1) == pytest.approx(neck.mm(1))
    assert neck.fret_width(12) == pytest.approx(neck.gap(11, 12))
    assert neck.fret_width(0) == neck.fret_width(1)
