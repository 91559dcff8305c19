"""Whatever a file holds, the reader says what is wrong and where, soon, and never raises."""

from __future__ import annotations

import random
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Dice
from thoroughness import IS_THOROUGH, share

from tabtools.notation.build import Reading, read_solo
from tabtools.notation.limits import MAX_BARS, MAX_LINE, MAX_PLAYED_SLOTS
from tabtools.notation.unreadable import MAX_UNREADABLE
from tabtools.notation.write import FormatError, canonical, formatted
from tabtools.source import SourceError, SourceText, from_text
from tabtools.timeline import timeline_of

LONGEST_WAIT = 20
"""Seconds, on a busy machine: what takes longer is not slow but stuck."""

CORPUS = [
    path.read_text(encoding="utf-8") for path in sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))
]
SIGNS = "0123456789:-.()[]+*~=?<>hptbrw/\\x#@& \t\nabcdefgABCDEFG|,;'é\u00a0"


def messages(reading: Reading) -> list[str]:
    return [
        f"{reading.source.locate(problem.span.start)[0]}: {problem.message} | {problem.advice}"
        for problem in reading.problems
    ]


def read(text: str) -> list[str]:
    return messages(read_solo(from_text(text)))


# ---- limits --------------------------------------------------------------------------------------------------


def test_the_longest_line() -> None:
    line = "# " + "x" * (MAX_LINE - 2)
    assert read(f"{line}\n") == []
    assert read(f"{line}x\nbar 1\n1    37\n") == [
        "1: the line has 2,001 characters; the most is 2,000 | write it shorter, or on several lines",
        "3: “37” names no string | write string and fret, like 3:7",
    ]


def test_ten_thousand_notes_on_a_line() -> None:
    text = f"bar 1\n1    {' '.join(['3:7'] * 10_000)}\n2-4  3:5\nbar 2\n1-4  37\n"
    assert read(text) == [
        "2: the line has 40,004 characters; the most is 2,000 | put each beat on a line of its own",
        "5: “37” names no string | write string and fret, like 3:7",
    ]


def test_the_most_slots_on_a_line() -> None:
    assert read(f"bar 1\n1    {' '.join(['-'] * 64)}\n") == []
    assert read(f"bar 1\n1    {' '.join(['-'] * 65)}\n") == [
        "2: the line has 65 slots; the most is 64 | put each beat on a line of its own"
    ]
    assert read(f"bar 1\n1    {' '.join(['(- -)'] * 22)}\n") == [
        "2: the line has 66 slots; the most is 64 | put each beat on a line of its own"
    ]


@pytest.mark.parametrize("depth", [4, 60, 900])
def test_deep_nesting(depth: int) -> None:
    assert read(f"bar 1\n1    {'(' * depth}3:7{')' * depth}\n") == [
        "2: groups nest more than three deep | divide the time on fewer levels; weights (3:5*2) may help"
    ]


def test_the_most_bars() -> None:
    assert read("".join(f"bar {number}\n" for number in range(1, MAX_BARS + 1))) == []
    assert read("".join(f"bar {number}\n" for number in range(1, MAX_BARS + 3))) == [
        "4001: the solo has more than 4,000 bars | split it into several files"
    ]
    assert read("bar 1\n1-4  .\nbars 2-4001 like 1\n") == [
        "3: the solo has more than 4,000 bars | split it into several files"
    ]
    assert read("bar 1\n1-4  .\nbars 2-999999 like 1\nbars 1000000-2 like 1\n")[0] == (
        "3: the solo has more than 4,000 bars | split it into several files"
    )


def test_the_most_slots_played() -> None:
    """Few lines, repeated often, are still too much to play out; and nobody waits for it."""
    line = f"1    {' '.join(['.'] * 64)}\n"
    text = f"bar 1\n{line * 30}bars 2-4000 like 1\n"
    started = time.process_time()
    reading = read_solo(from_text(text))
    bars = timeline_of(reading.solo).bars
    assert messages(reading) == ["32: the solo has more than 100,000 slots | split it into several files"]
    assert len(bars) == 1 + MAX_PLAYED_SLOTS // (64 * 30)
    assert time.process_time() - started < LONGEST_WAIT


def test_a_file_that_is_no_solo_is_not_read_to_its_end() -> None:
    found = read("Once upon a time\n" * 1000)
    assert len(found) == MAX_UNREADABLE + 1
    assert found[-1] == (
        "201: 200 lines cannot be read; from here on nothing was looked at | "
        "mend the lines above first; a solo file holds one solo and nothing else"
    )


@pytest.mark.parametrize(
    "line",
    [
        "1    - - 3:7 .\n",
        "a\n",
        "bar 1\n",
        "#\n",
        "title: A\n",
        "\n",
        " \n",
        "1-64 -\n",
        "section A\n",
        "passage 1\n",
        "bars 2-9 like 1\n",
        "x" * 1990 + "\n",
        "1 (((3:7b9=D4?4:14[pm] 3:7)))\n",
    ],
)
def test_a_large_file_of_the_same_is_read_soon(line: str) -> None:
    """Half as much is tried with a push, and may take a fourth of the time: as long as work that grows squared."""
    parts = 1 if IS_THOROUGH else 2
    text = "bar 1\n" + line * (2**17 // parts // len(line.encode()))
    started = time.process_time()
    timeline_of(read_solo(from_text(text)).solo)
    assert time.process_time() - started < LONGEST_WAIT / parts**2


# ---- files of odd content ------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["", "\n", "   \n\t\n", "# only\n# comments\n", "title: A\n", "title:\n"])
def test_files_without_music_read_as_empty(text: str) -> None:
    reading = read_solo(from_text(text))
    assert reading.problems == ()
    assert reading.solo.bars == ()
    assert timeline_of(reading.solo).notes == ()


@pytest.mark.parametrize("text", ["bar 1\r\n1-4  3:7\r\n", "bar 1\r1-4  3:7", "\ufeffbar 1\n1-4\t3:7  \n\n\n"])
def test_layout_that_is_tidied(text: str) -> None:
    assert formatted(from_text(text)) == "bar 1\n1-4  3:7\n"


def test_a_merge_left_in_the_file_hides_nothing() -> None:
    text = "bar 1\n<<<<<<< ours\n1-4  3:7\n||||||| base\n1-4  3:6\n=======\n1-4  37\n>>>>>>> theirs\nbar 2\n1    h\n"
    marker = "a conflict marker left by a merge | decide between the two sides: tabtools conflicts shows them"
    assert read(text) == [
        f"2: {marker}",
        f"4: {marker}",
        f"6: {marker}",
        "7: “37” names no string | write string and fret, like 3:7",
        f"8: {marker}",
        "10: the move “h” does not say to which fret | write it like h7",
    ]


# ---- anything at all -----------------------------------------------------------------------------------------


def assert_survived(source: SourceText) -> None:
    reading = read_solo(source)
    for problem in reading.problems:
        assert 0 <= problem.span.start <= problem.span.end <= len(source.text) + 1
        assert problem.message
        assert problem.advice
        assert "see the format reference" not in problem.advice, source.text
    for note in timeline_of(reading.solo).notes:
        assert note.duration >= 0
        assert note.end >= note.start
    try:
        text = formatted(source)
    except FormatError as refusal:
        assert reading.unreadable
        assert refusal.message.endswith("cannot be read")
    else:
        assert formatted(from_text(text)) == text


@settings(max_examples=share(300))
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    try:
        source = from_text(text)
    except SourceError:
        return
    assert_survived(source)


@settings(max_examples=share(300))
@given(
    st.text(st.sampled_from(SIGNS), max_size=60), st.sampled_from(["", "bar 1\n1    ", "bar ", "title: A\n", "1-2 "])
)
def test_any_signs_of_the_format(text: str, before: str) -> None:
    assert_survived(from_text(before + text))


@settings(max_examples=share(500))
@given(st.integers(0, 2**40), st.integers(1, 6))
def test_solos_with_slips_of_the_finger(seed: int, slips: int) -> None:
    """A stretch of a demo solo, or a generated one, with some characters lost, doubled or mistyped."""
    dice = random.Random(seed)
    if dice.random() < 0.5:
        lines = dice.choice(CORPUS).splitlines(keepends=True)
        start = dice.randrange(len(lines))
        text = "".join(lines[:12] + lines[start : start + 15])
    else:
        text = canonical(Dice(4, seed).solo())
    for _ in range(slips):
        at = dice.randrange(len(text) + 1)
        text = text[:at] + dice.choice(["", dice.choice(SIGNS)]) + text[at + dice.choice([0, 1]) :]
    assert_survived(from_text(text))
