"""One of a thing is said as one, wherever there can be one alone."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from invoked import SHORT_BAR, SOUND, tabtools, write

from tabtools.wording import plural, several

ONE_AS_MANY = re.compile(
    r"(?<![0-9.,:/])1 (?:more )?(?:notes|bars|semitones|strings|frets|gauges|lines|solos|errors|warnings|places|figures"
    r"|strokes|counts|beats|times|phrases|octaves|steps|others|changes|fingers)\b"
)
LITTLE = """\
title:        One
player:       the Slipway Trio
rights:       CC0-1.0
meter:        1/4

bar 1  Am
1    3:7b8
"""


@pytest.mark.parametrize(
    ("number", "noun", "said"),
    [
        (0, "bar", "0 bars"),
        (1, "bar", "1 bar"),
        (2, "more place", "2 more places"),
        (1.0, "semitone", "1 semitone"),
        (0.5, "semitone", "0.5 semitones"),
        (Fraction(4, 3), "semitone", "1.33 semitones"),
        (Fraction(1), "semitone", "1 semitone"),
    ],
)
def test_a_noun_goes_with_its_number(number: float | Fraction, noun: str, said: str) -> None:
    assert several(number, noun) == said
    assert said.endswith(plural(noun, number))


@pytest.mark.parametrize(
    "words",
    [
        "lint one.solo",
        "format --check one.solo",
        "annotate one.solo --phrases",
        "annotate one.solo --hands",
        "annotate one.solo --lesson",
        "find one.solo --technique bend",
        "find --shared one.solo",
        "diff one.solo other.solo",
        "diff one.solo other.solo --format markdown",
        "lint gauges.solo short.solo",
        "annotate broken.solo",
        "export short.solo --to text --draft",
    ],
)
def test_one_is_never_said_as_many(folder: Path, words: str) -> None:
    write(
        folder,
        one=LITTLE,
        other=LITTLE.replace("3:7b8", "3:7b9"),
        gauges=LITTLE.replace("meter:", "gauges: 10\nmeter:"),
        short=SHORT_BAR,
        broken=f"{LITTLE}1 §\n",
    )
    result = tabtools(*words.split())
    assert result.out or result.err
    assert ONE_AS_MANY.search(result.out + result.err) is None


def test_a_solo_and_its_lesson_are_counted_as_one(folder: Path) -> None:
    write(folder, dusk=SHORT_BAR, dawn=SOUND)
    (folder / "dusk.md").write_text("Not so: `@1.1 B3`.\n", encoding="utf-8")
    assert tabtools("lint", "dusk.solo").out.endswith(" in 1 of 1 solo\n")
    assert tabtools("lint", ".").out.endswith(" in 1 of 2 solos\n")
