"""Where the signs of rhythm stand, measured: which they are is told by the cases of tests/score."""

from __future__ import annotations

import re

import pytest
from drawn import bars, boxes, drawing, first_bar

STRING_6 = 65.0
"""Heights are in pixels from string 1 down; the lowest string of six lies here."""

TRIPLET = "1  3:5 3:7 3:8\n2-4  .\n"
TRIPLET_IN_A_TRIPLET = "1  3:5 3:7 (3:8 3:7 3:5)\n2-4  .\n"
BRACKETED = "1  3:5 . 3:8\n2-4  .\n"


def staff(lines: str) -> str:
    return first_bar(f"bar 1\n{lines}").staff


def lines(svg: str, kind: str) -> list[tuple[float, float]]:
    """From where to where the lines of a class go down the page, in the order they are drawn."""
    found = re.findall(rf'<line class="{kind}" [^>]*y1="([^"]+)" y2="([^"]+)"', svg)
    return [(float(top), float(bottom)) for top, bottom in found]


def heights(svg: str, kind: str) -> list[tuple[str, float]]:
    """What the texts of a class say, each with the height of its foot."""
    return [(text, float(y)) for y, text in re.findall(rf'<text class="{kind}"[^>]* y="([^"]+)"[^>]*>([^<]*)', svg)]


# ---- stems, beams, flags, dots


def test_stems_stand_under_the_staff_and_that_of_a_half_is_half_as_long() -> None:
    quarter, half, following = lines(staff("1  3:5\n2-3  3:7\n4  3:5\n"), "stem")
    assert quarter == following == (STRING_6 + 8, STRING_6 + 31)
    assert half == (STRING_6 + 19.5, STRING_6 + 31)


def test_beams_join_the_feet_of_stems_and_further_ones_lie_nearer_the_staff() -> None:
    heights = {top for top, _ in lines(staff("1  3:5 3:5 3:5 3:5\n2-4  .\n"), "beam")}
    assert heights == {STRING_6 + 29.3, STRING_6 + 23.9}


def test_a_flag_hangs_on_the_foot_of_its_stem() -> None:
    assert '<use href="#tt-flag1" y="96"/>' in staff("1  3:5 .\n2-4  .\n")


def test_the_dot_of_a_value_stands_beside_its_stem() -> None:
    svg = staff("1-3  3:5\n4  3:5\n")
    stem = re.search(r'<line class="stem" x1="([^"]+)"', svg)[1]
    assert f'<svg x="{stem}"><circle class="tt-ink" cx="4.5" cy="{STRING_6 + 14:g}" r="1.5"/></svg>' in svg


def test_the_dot_of_a_rest_stands_beside_it_over_the_middle_of_the_staff() -> None:
    svg = first_bar("bar 1\n1-3  .\n4-6  3:5\n", "6/8").staff
    rest = re.search(r'<use href="#tt-rest2" y="32.5" class="rest"/>(.*?)</svg>', svg)
    assert rest[1] == '<circle class="tt-ink" cx="8" cy="29.5" r="1.5"/>'


def test_the_rest_of_a_silent_bar_stands_in_the_middle_of_what_is_left_of_it() -> None:
    """The staff begins with the names of the open strings and the meter in the first bar only."""
    silent = bars(drawing("bar 1\n1-4  .\n\nbar 2\n1-4  .\n"))
    places = [float(re.search(r'<use href="#tt-rest0" x="([^"]+)%"', bar.staff)[1]) for bar in silent]
    assert places[0] > places[1] == 50


# ---- ties


@pytest.mark.parametrize(("note", "string"), [("3:5", 3), ("6:5", 6), ("3:5+1:5", 3), ("1:5", 1)])
def test_a_tie_hangs_under_its_string_from_stem_to_stem(note: str, string: int) -> None:
    svg = staff(f"1  3:7 {note}\n2  - 3:7\n3-4  .\n")
    _, first, second, _ = (float(x) for x in re.findall(r'<line class="stem" x1="([^"]+)%"', svg))
    (x, y, width, ink) = re.search(TIE, svg).groups()
    assert (float(x), float(y)) == (first, 13 * (string - 1) + 4)
    assert float(x) + float(width) == pytest.approx(second, abs=0.02)
    assert ink.startswith("M0 0C")
    assert " 100 0L" in ink


def test_a_tie_over_the_bar_line_is_one_arc() -> None:
    """Each bar shows its part of it: they meet at one height and one slant."""
    before, after = (
        re.search(TIE, bar.staff).groups() for bar in bars(drawing("bar 1\n1-4  3:5\n\nbar 2\n1-2  -\n3-4  3:5\n"))
    )
    assert float(before[0]) + float(before[2]) == pytest.approx(100, abs=0.02)
    assert float(after[0]) == 0
    assert before[3].startswith("M0 0C")
    assert " 100 0L" in after[3]


TIE = (
    r'<svg class="tie" x="([^"]+)%" y="([^"]+)" width="([^"]+)%" height="[^"]+" [^>]*preserveAspectRatio="none">'
    r'<path class="tt-ink" d="([^"]+)"'
)
"""A tie: its left end, its height, how far it goes, its outline."""


# ---- tuplets


def test_the_figure_of_a_tuplet_stands_under_the_beam() -> None:
    svg = staff(TRIPLET)
    assert heights(svg, "tuplet") == [("3", STRING_6 + 43.5)]
    (figure,) = [box for box in boxes(svg, 300) if box.kind == "tuplet"]
    assert figure.top > max(bottom for _, bottom in lines(svg, "stem"))


def test_inner_tuplets_stand_nearest_to_the_notes() -> None:
    svg = staff(TRIPLET_IN_A_TRIPLET)
    assert heights(svg, "tuplet") == [("3", STRING_6 + 54.5), ("3", STRING_6 + 43.5)]


def test_figures_of_tuplets_push_down_what_stands_under_them() -> None:
    bars_of_rows = ("1-4  3:5\n", TRIPLET, TRIPLET_IN_A_TRIPLET)
    counts = [heights(staff(one), "count")[0][1] for one in bars_of_rows]
    assert counts == [STRING_6 + 45, STRING_6 + 56, STRING_6 + 67]


def test_the_figure_stands_in_the_middle_of_its_notes() -> None:
    svg = staff(TRIPLET)
    stems = re.findall(r'<line class="stem" x1="([^"]+)"', svg)
    assert re.search(r'<text class="tuplet" x="([^"]+)"', svg)[1] == stems[1]


@pytest.mark.parametrize(
    ("lines_of_bar", "bracketed"),
    [
        (TRIPLET, False),
        (BRACKETED, True),
        ("1  . 3:5 3:7\n2-4  .\n", True),
        ("1  3:5 3:7 .\n2-4  .\n", True),
        ("1-2  3:5 3:7 3:8\n3-4  .\n", True),
        ("1  3:5 (3:7 3:8 3:10)\n2-4  .\n", True),
        ("1  (3:7 3:8 3:10) 3:5\n2-4  .\n", True),
    ],
)
def test_a_bracket_shows_what_belongs_to_a_tuplet_where_no_beam_does(lines_of_bar: str, bracketed: bool) -> None:
    assert len(lines(staff(lines_of_bar), "thin")) == (3 if bracketed else 0)


def test_a_bracket_reaches_from_before_the_first_to_behind_the_last_value() -> None:
    bar = first_bar(f"bar 1\n{BRACKETED}")
    found = re.findall(r'<line class="thin" x1="([^"]+)%" x2="([^"]+)%" y1="([^"]+)" y2="([^"]+)"', bar.staff)
    left, right, along = [[float(one) for one in line] for line in found]
    first, last = (float(x) for x in re.findall(r'<line class="stem" x1="([^"]+)%"', bar.staff))
    assert left[0] == left[1] == along[0] < first < last < along[1] == right[0] == right[1]
    assert (left[2:], right[2:]) == ([STRING_6 + 35, STRING_6 + 40], [STRING_6 + 35, STRING_6 + 40])
    assert along[2:] == [STRING_6 + 40, STRING_6 + 40]


def test_what_the_vibrato_bar_moves_is_tied_and_no_new_attack() -> None:
    """Every stem without a figure over it has a tie that leads to it."""
    svg = staff("1  3:10 - - w9\n2  w10 - - .\n3-4  .\n")
    stems = len(lines(svg, "stem"))
    assert stems == 3
    assert len(re.findall(TIE, svg)) == stems - 1
