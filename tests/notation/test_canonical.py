"""The canonical writer: what is written reads back equal, a second writing changes nothing, no comment is lost.

Together the properties here see more than 2,000 generated solos.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import solos, solos_laid_out_anew
from thoroughness import share

from tabtools.model.solo import Like, Solo
from tabtools.notation.build import read_solo
from tabtools.notation.write import FormatError, canonical, clock, decimal, formatted
from tabtools.source import from_text

Layout = Callable[[str], str]
FAULTS_OF_VALUES = {"unknown-field", "duplicate-field", "field-value", "tuning"}


def comments_of(solo: Solo) -> Counter[str]:
    """Every comment of a solo, wherever it stands."""
    found = Counter(comment.text for comment in solo.remarks)
    lines = [line for bar in solo.bars for line in bar.lines]
    for thing in (*solo.fields, *solo.items, *lines):
        found.update(comment.text for comment in thing.comments.all())
    return found


def assert_kept(solo: Solo) -> None:
    text = canonical(solo)
    reading = read_solo(from_text(text))
    assert reading.unreadable == ()
    assert {problem.check for problem in reading.problems} <= FAULTS_OF_VALUES
    assert reading.solo == solo
    assert canonical(reading.solo) == text
    assert comments_of(reading.solo) == comments_of(solo)
    assert formatted(reading.source) == text


@settings(max_examples=share(1300))
@given(solos())
def test_solos(solo: Solo) -> None:
    assert_kept(solo)


@settings(max_examples=share(500))
@given(solos_laid_out_anew(with_comments=False))
def test_layout_says_nothing(found: tuple[Solo, Layout]) -> None:
    """A solo without comments reads the same from any layout, and is written the same."""
    solo, layout = found
    text = canonical(solo)
    other = from_text(layout(text))
    assert read_solo(other).solo == solo
    assert formatted(other) == text


@settings(max_examples=share(500))
@given(solos_laid_out_anew(with_comments=True))
def test_comments_survive_any_layout(found: tuple[Solo, Layout]) -> None:
    """Blank lines decide what a comment stands with; none is lost, and from then on nothing moves."""
    solo, layout = found
    once = formatted(from_text(layout(canonical(solo))))
    assert comments_of(read_solo(from_text(once)).solo) == comments_of(solo)
    assert formatted(from_text(once)) == once


def test_more_than_two_thousand_solos_are_generated() -> None:
    tests = (test_solos, test_layout_says_nothing, test_comments_survive_any_layout)
    assert sum(test._hypothesis_internal_use_settings.max_examples for test in tests) >= share(2000)


SOLOS = sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))


@pytest.mark.parametrize("path", SOLOS, ids=lambda path: path.stem)
def test_the_corpus_is_canonical(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert formatted(from_text(text)) == text


def test_one_formatting_is_right() -> None:
    text = """
title:Ferry at Dusk
tempo :126   # rehearsal
# the vamp
section   A Vamp

bar 1 at 0:42.30   tempo 0096  meter 4/4 in 4  Dm7   # first
1 ( 3:7   3:5 )*2 -   [ pm,down ]
# held
2-2    3:07b9.50[ accent ]=D4
bars 2-2 like 1-1 G7@1
passage 1.1-1.1   Cry
passage 2.1-2.2
"""
    assert (
        formatted(from_text(text))
        == """\
title:        Ferry at Dusk
tempo:        126  # rehearsal

# the vamp
section A  Vamp

bar 1  Dm7  meter 4/4  tempo 96  at 0:42.3  # first
1    (3:7 3:5)*2 - [pm, down]
# held
2    3:7b9.5=D4[accent]

bar 2 like 1  G7@1

passage 1.1  Cry
passage 2.1-2.2
"""
    )


def test_nothing_is_written_where_lines_cannot_be_read() -> None:
    with pytest.raises(FormatError) as caught:
        formatted(from_text("bar 1\n1    37\n"))
    assert caught.value.message == "line 2 cannot be read"
    assert caught.value.advice == "mend what tabtools lint reports, then format"


@pytest.mark.parametrize(
    "text",
    [
        "title: A\nbar 1\n1-4  .\ntitle: B\n",
        "1    3:7\n",
        "bar 1  meter 4/4 meter 3/4\n",
        "bar 1  tempo 1\n",
        "bar 1\n65   3:7\n",
        "bar 1\n1    3:7*0\n",
        "bar: 1\n",
    ],
)
def test_nothing_is_written_that_would_lose_a_line(text: str) -> None:
    with pytest.raises(FormatError, match="cannot be read"):
        formatted(from_text(text))


def test_nothing_is_written_that_would_be_too_long_to_read() -> None:
    text = f"key:{'x' * 1990}\n"
    assert read_solo(from_text(text)).unreadable == ()
    with pytest.raises(FormatError, match="more than 2,000 characters"):
        formatted(from_text(text))


def test_an_empty_file_stays_empty() -> None:
    assert formatted(from_text("")) == ""
    assert formatted(from_text("\n\n  \n")) == ""


@given(st.integers(0, 9999 * 60 * 10**6 + 59 * 10**6))
def test_places_in_a_recording_read_back(microseconds: int) -> None:
    seconds = Fraction(microseconds, 10**6)
    reading = read_solo(from_text(f"bar 1  at {clock(seconds)}\n"))
    assert reading.problems == ()
    assert reading.solo.bars[0].at == seconds


@given(st.integers(0, 10**12))
def test_decimals_are_exact_and_short(value: int) -> None:
    number = Fraction(value, 10**6)
    assert Fraction(decimal(number)) == number
    assert "." not in decimal(number) or not decimal(number).endswith("0")


def test_repeats_are_written_as_short_as_they_are() -> None:
    assert canonical(Solo(items=(Like(9, 12, 1, 4),))) == "bars 9-12 like 1-4\n"
    assert canonical(Solo(items=(Like(9, 9, 1, 1),))) == "bar 9 like 1\n"
    assert canonical(Solo(items=(Like(9, 12, 1, 1),))) == "bars 9-12 like 1\n"
