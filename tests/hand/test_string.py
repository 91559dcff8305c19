"""Strings under tension and bent, against published figures."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest

from tabtools.hand.string import String, gauges_of, steel_area, strings_of, tension, unit_weight
from tabtools.model.instrument import STANDARD_GAUGES, Gauge, Instrument, tuning_of
from tabtools.model.pitch import frequency, parse_pitch

FIGURES = json.loads((Path(__file__).parents[1] / "outside" / "published_figures.json").read_text(encoding="utf-8"))
INCH = 25.4
POUND_FORCE = 4.4482216
POUNDS_AN_INCH = 0.45359237 / 0.0254
LONG = Instrument(scale_mm=25.5 * INCH)


def gauge(text: str) -> Gauge:
    match = re.fullmatch(r"(\d+)(w?)", text)
    return Gauge(float(match[1]), bool(match[2]))


@pytest.mark.parametrize("row", FIGURES["tension"]["unit_weights"], ids=lambda row: row["gauge"])
def test_unit_weight(row: dict) -> None:
    """Published in the string makers' tension guide; ours is a fit: 0.1 % for plain strings, 0.5 % for wound ones."""
    assert unit_weight(gauge(row["gauge"])) / POUNDS_AN_INCH == pytest.approx(
        row["unit_weight"], rel=0.005 if gauge(row["gauge"]).wound else 0.001
    )


@pytest.mark.parametrize(
    "row", FIGURES["tension"]["rows"], ids=lambda row: f"{row['gauge']} {row['scale_length_in']} in"
)
def test_tension(row: dict) -> None:
    """Published in the string makers' tension guide, in pounds."""
    hertz = frequency(parse_pitch(row["pitch"]))
    pounds = tension(gauge(row["gauge"]), row["scale_length_in"] * INCH, hertz) / POUND_FORCE
    assert pounds == pytest.approx(row["tension_lb"], abs=row["last_digit"])


def test_tension_follows_the_reference_pitch() -> None:
    flat = strings_of(Instrument(reference=432))[0].pull / strings_of(Instrument())[0].pull
    assert flat == pytest.approx((432 / 440) ** 2)


@pytest.mark.parametrize("row", FIGURES["bend"]["rows"])
def test_travel_of_a_whole_tone_in_the_middle(row: dict) -> None:
    """Published: epenguin.imalone.co.uk, 19.7 mm for a plain first string."""
    bend = strings_of(LONG)[0].bend(12, row["semitones"])
    assert bend.travel_mm == pytest.approx(row["sideways"], abs=row["last_digit"])


@pytest.mark.parametrize(
    ("string", "fret", "semitones", "travel", "force"),
    [
        (1, 2, 2, 12.3, 17.5),
        (1, 7, 2, 18.6, 11.7),
        (1, 12, 2, 19.8, 11.1),
        (1, 17, 2, 19.3, 11.6),
        (1, 22, 2, 18.1, 12.6),
        (2, 12, 2, 14.8, 7.9),
        (3, 12, 2, 11.7, 6.7),
        (1, 12, 3, 25.0, 15.8),
        (1, 12, 4, 29.8, 21.1),
        (1, 2, 3, 15.5, 24.6),
        (1, 2, 4, 18.5, 32.6),
    ],
)
def test_bends_against_figures_computed_on_their_own(
    string: int, fret: int, semitones: float, travel: float, force: float
) -> None:
    """From the project's notes, computed apart from this code after Grimes (PLoS ONE 9(7):e102088, 2014)."""
    bend = strings_of(LONG)[string - 1].bend(fret, semitones)
    assert bend.travel_mm == pytest.approx(travel, rel=0.02)
    assert bend.force == pytest.approx(force, rel=0.025)


@pytest.mark.parametrize("string", range(1, 7))
@pytest.mark.parametrize("fret", [1, 5, 12, 19])
def test_the_bent_string_has_the_pitch_asked_for(string: int, fret: int) -> None:
    """Grimes's formula, put the other way round: geometry to pull to pitch."""
    one: String = strings_of(LONG)[string - 1]
    bend = one.bend(fret, 3)
    behind = 25.5 * INCH * (1 - 2 ** (-fret / 12))
    ahead = 25.5 * INCH - behind
    share = (behind + ahead) / (math.hypot(behind, bend.travel_mm) + math.hypot(ahead, bend.travel_mm))
    assert (one.pull * share + one.stiffness * (1 - share)) / one.pull == pytest.approx(2 ** (3 / 6), rel=1e-9)


@pytest.mark.parametrize("string", range(1, 7))
def test_wider_is_harder_and_stiffest_near_the_nut(string: int) -> None:
    """Common practice."""
    one = strings_of(LONG)[string - 1]
    forces = [one.bend(9, semitones).force for semitones in (0.5, 1, 2, 3, 4)]
    travels = [one.bend(9, semitones).travel_mm for semitones in (0.5, 1, 2, 3, 4)]
    assert forces == sorted(forces) and travels == sorted(travels)
    along = [one.bend(fret, 2).force for fret in (1, 3, 5, 7, 12)]
    assert along == sorted(along, reverse=True)


def test_no_bend_takes_nothing() -> None:
    bend = strings_of(LONG)[0].bend(7, 0)
    assert bend.travel_mm == pytest.approx(0, abs=1e-3)
    assert bend.force == pytest.approx(0, abs=1e-3)


def test_the_first_string_breaks_after_about_five_and_a_half_semitones() -> None:
    """From memory of the strength of music wire, 2,700 MPa; at rest it bears 1,423 MPa (computed)."""
    one = strings_of(LONG)[0]
    assert one.pull / steel_area(Gauge(10)) / 1e6 == pytest.approx(1423, abs=3)
    assert one.bend(12, 5).stress < 1 < one.bend(12, 6).stress


def test_a_bend_beyond_all_bounds_is_infinite() -> None:
    assert strings_of(LONG)[0].bend(12, 60).force == math.inf
    assert strings_of(LONG)[0].bend(0, 2).force == math.inf


def test_a_capo_shortens_what_a_bend_stretches() -> None:
    """At the same place on the neck less string has to give, so it travels less far for the same interval."""
    free, capoed = strings_of(LONG)[0], strings_of(Instrument(scale_mm=25.5 * INCH, capo=7))[0]
    assert capoed.pull == free.pull
    assert capoed.bend(5, 2).travel_mm < free.bend(12, 2).travel_mm


def test_gauges_are_taken_as_they_are_named() -> None:
    assert gauges_of(Instrument()) == STANDARD_GAUGES
    drop = Instrument(tuning=tuning_of("D2 A2 D3 G3 B3 E4"))
    assert gauges_of(drop) == STANDARD_GAUGES


@pytest.mark.parametrize("pitches", ["B1 E2 A2 D3 G3 B3 E4", "E1 A1 D2 G2", "F#1 B1 E2 A2 D3 G3 B3 E4 A4"])
def test_strings_without_a_gauge_pull_like_usual_strings(pitches: str) -> None:
    """Common practice: 65 to 90 newtons."""
    instrument = Instrument(tuning=tuning_of(pitches), scale_mm=864 if pitches.startswith("E1") else 648)
    assert len(gauges_of(instrument)) == instrument.strings
    assert all(60 < string.pull < 95 for string in strings_of(instrument))


def test_named_gauges_are_kept_and_the_missing_ones_found() -> None:
    named = (Gauge(9), Gauge(11), Gauge(16))
    gauges = gauges_of(Instrument(gauges=named))
    assert gauges[:3] == named
    assert [one.wound for one in gauges[3:]] == [True, True, True]
    assert [one.thousandths for one in gauges[3:]] == pytest.approx([26, 36, 46], abs=3)


def test_a_wound_string_is_lighter_than_a_plain_one_of_its_size() -> None:
    assert unit_weight(Gauge(26, True)) < unit_weight(Gauge(26))
    assert steel_area(Gauge(26, True)) < steel_area(Gauge(26)) == pytest.approx(math.pi / 4 * (26 * 25.4e-6) ** 2)
