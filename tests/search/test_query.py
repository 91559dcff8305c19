"""What is looked for, read from the command line."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tabtools.search.query import (
    MOST_STEPS,
    QueryError,
    Rhythm,
    WantedChord,
    read_degrees,
    read_device,
    read_intervals,
    read_rhythm,
    read_technique,
    read_wanted_chord,
)
from tabtools.study.devices.run import KINDS

READERS = (read_degrees, read_device, read_intervals, read_rhythm, read_technique, read_wanted_chord)


@pytest.mark.parametrize(
    ("text", "quarter_tones"),
    [("2 2 -4", (4, 4, -8)), ("+7,-12", (14, -24)), ("0", (0,)), ("0.5 -1.5", (1, -3)), (" 48 ", (96,))],
)
def test_intervals(text: str, quarter_tones: tuple[int, ...]) -> None:
    assert read_intervals(text) == quarter_tones


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("b3 5 b7", ((None, 3), (None, 7), (None, 10))),
        ("9 #11 b13", ((None, 2), (None, 6), (None, 8))),
        ("1>2", ((0, 2),)),
        ("4 > 5, 5>4", ((5, 7), (7, 5))),
        ("bb7", ((None, 9),)),
    ],
)
def test_degrees(text: str, degrees: tuple) -> None:
    assert read_degrees(text) == degrees


@pytest.mark.parametrize(
    ("text", "values", "is_exact"),
    [
        ("1/2 1/4 1/4", ("1/2", "1/4", "1/4"), False),
        ("2 1 1", ("2", "1", "1"), False),
        ("1.5, 0.5", ("3/2", "1/2"), False),
        ("quarter eighth eighth", ("1", "1/2", "1/2"), True),
        ("Dotted Eighth sixteenth", ("3/4", "1/4"), True),
        ("dotted-half", ("3",), True),
        ("triplet-eighth triplet eighth thirty-second whole", ("1/3", "1/3", "1/8", "4"), True),
    ],
)
def test_rhythm(text: str, values: tuple[str, ...], is_exact: bool) -> None:
    assert read_rhythm(text) == Rhythm(tuple(map(Fraction, values)), is_exact)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("m7b5", WantedChord("m7b5")),
        ("ø", WantedChord("m7b5")),
        ("half-diminished", WantedChord("m7b5")),
        ("-7", WantedChord("m7")),
        ("major", WantedChord("")),
        ("maj", WantedChord("")),
        ("Minor", WantedChord("m")),
        ("7#9", WantedChord("7#9")),
        ("7(b9,#11)", WantedChord("7(b9,#11)")),
        ("alt", WantedChord("7alt")),
        ("altered", WantedChord("7alt")),
        ("6/9", WantedChord("6/9")),
        ("5", WantedChord("5")),
        ("°7", WantedChord("dim7")),
        ("m7/G", WantedChord("m7", None, 7)),
        ("Bb", WantedChord("", 10)),
        ("Am7", WantedChord("m7", 9)),
        ("D/F#", WantedChord("", 2, 6)),
        ("NC", WantedChord(None)),
        ("N.C.", WantedChord(None)),
    ],
)
def test_chord(text: str, wanted: WantedChord) -> None:
    assert read_wanted_chord(text) == wanted


@pytest.mark.parametrize("text", ["hammer-on", "Hammer On", "hammer_on", " HAMMER-ON "])
def test_technique(text: str) -> None:
    assert read_technique(text) == "hammer-on"


@pytest.mark.parametrize("kind", KINDS)
def test_device(kind: str) -> None:
    assert read_device(kind) == read_device(kind.replace(" ", "-").upper()) == kind.replace(" ", "-")


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (read_rhythm, "1/٠ 2"),
        (read_rhythm, "٢ ١"),
        (read_intervals, "２ -2"),
        (read_intervals, "²"),
        (read_degrees, "b٣ ٥"),
        (read_wanted_chord, "Am٧"),
    ],
)
def test_figures_of_other_scripts_are_refused(reader, text: str) -> None:
    with pytest.raises(QueryError):
        reader(text)


@pytest.mark.parametrize("reader", [read_degrees, read_intervals, read_rhythm])
def test_a_pattern_has_its_limit(reader) -> None:
    word = "1"
    assert reader(" ".join([word] * MOST_STEPS))
    with pytest.raises(QueryError, match="65 steps"):
        reader(" ".join([word] * (MOST_STEPS + 1)))


@given(st.one_of(st.text(), st.text("0123456789/.-+#b>, mdajsuti()")), st.sampled_from(READERS))
def test_anything_is_read_or_refused_with_advice(text: str, reader) -> None:
    try:
        assert reader(text)
    except QueryError as fault:
        assert fault.message
        assert fault.advice
