"""What is drawn while some lines cannot be read: the bars as they were, and the rest as it is now."""

from __future__ import annotations

import pytest

from tabtools.source import SourceText, from_text
from tabtools.website.serving.last_good import bar_at, drawn

HEAD = "title: Tide\nrights: CC0-1.0\nmeter: 4/4\n"


def text(*frets: str) -> str:
    return HEAD + "".join(f"\nbar {bar}  Am\n1-4  3:{fret}\n" for bar, fret in enumerate(frets, 1))


GOOD = from_text(text("5", "7", "9"))


def test_a_bar_that_cannot_be_read_stays_and_the_others_are_new() -> None:
    found = drawn(from_text(text("12", "7x", "10")), GOOD)
    assert found == (from_text(text("12", "7", "10")), ("2",))


def test_a_bar_whose_first_line_cannot_be_read_stays_behind_its_neighbour() -> None:
    found = drawn(from_text(text("12", "8", "10").replace("bar 2", "baar 2")), GOOD)
    assert found == (from_text(text("5", "7", "10")), ("1", "2"))


@pytest.mark.parametrize("wrong", ["key is A minor", "???"])
def test_the_head_stays(wrong: str) -> None:
    found = drawn(from_text(text("12", "7", "9").replace("meter: 4/4", wrong)), GOOD)
    assert found == (from_text(text("12", "7", "9")), ())


def test_an_emptied_file_is_being_saved() -> None:
    assert drawn(from_text(""), GOOD) == (GOOD, ())
    assert drawn(from_text(""), None) == (from_text(""), ())


def test_what_can_be_read_is_drawn_as_it_is_wrong_or_not() -> None:
    short = from_text(text("5", "7").replace("1-4", "1-3"))
    assert drawn(short, GOOD) == (short, ())


def test_without_an_earlier_bar_it_is_drawn_as_it_is() -> None:
    typed = from_text(text("5", "7", "9", "1x"))
    assert drawn(typed, GOOD) == (typed, ())
    assert drawn(typed, None) == (typed, ())


def test_an_earlier_text_that_cannot_be_read_either_is_no_help() -> None:
    typed, before = from_text(text("5x")), from_text(text("7x"))
    assert drawn(typed, before) == (typed, ())


@pytest.mark.parametrize(("words", "bar"), [("title", ""), ("bar 1", "1"), ("3:5", "1"), ("3:9", "3")])
def test_the_bar_at_a_place(words: str, bar: str) -> None:
    assert bar_at(GOOD.text, GOOD.text.index(words)) == bar


def test_the_path_is_that_of_the_new_text() -> None:
    assert drawn(SourceText("tide.solo", text("5x")), GOOD).source.path == "tide.solo"
