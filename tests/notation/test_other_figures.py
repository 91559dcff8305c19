"""Figures of other scripts, and raised ones, are no figures: wherever they are typed, the message says so."""

from __future__ import annotations

import pytest

from tabtools.checks import ALL_CHECKS
from tabtools.linting import lint_sources
from tabtools.source import from_text

SOLO = """\
title:        Low Tide
player:       the Slipway Trio
rights:       CC0-1.0
capo:         2
meter:        4/4
tempo:        120

bar 1 at 0:10  Am7b5
1    3:7b9.5 3:5 [trill 7]
2-4  2:5
"""
PLACES = [
    ("capo:         2", "capo:         ٢", "“٢” is no fret for a capo"),
    ("4/4", "٤/٤", "“٤/٤” is no meter"),
    ("4/4", "4/４", "“4/４” is no meter"),
    ("120", "१२०", "“१२०” is not a tempo"),
    ("bar 1", "bar ١", "“١” is not a plain figure"),
    ("0:10", "٠:١٠", "“٠” is not a plain figure"),
    ("Am7b5", "Am٧", "“٧” is not a plain figure"),
    ("Am7b5", "Am7b٥", "“٥” is not a plain figure"),
    ("Am7b5", "A⁷", "“⁷” is not a plain figure"),
    ("1    3:7", "١    3:7", "“١” is not a plain figure"),
    ("3:7", "٣:7", "“٣” is not a plain figure"),
    ("3:7", "3:٧", "“٧” is not a plain figure"),
    ("3:7", "3:²", "“²” is not a plain figure"),
    ("2-4", "2-٤", "“٤” is not a plain figure"),
]


@pytest.mark.parametrize(("plain", "other", "message"), PLACES, ids=[other for _, other, _ in PLACES])
def test_a_figure_of_another_script_is_named(plain: str, other: str, message: str) -> None:
    found = lint_sources([from_text(SOLO.replace(plain, other, 1), "low-tide.solo")], ALL_CHECKS)
    assert (message, "type the figures 0 to 9") in [(one.message, one.advice) for one in found.problems]


@pytest.mark.parametrize("figure", ["²", "٧", "७"])
def test_a_trill_to_no_fret_is_found_and_ends_nothing(figure: str) -> None:
    found = lint_sources([from_text(SOLO.replace("trill 7", f"trill {figure}"), "low-tide.solo")], ALL_CHECKS)
    assert [one for one in found.problems if "trill" in one.message]
