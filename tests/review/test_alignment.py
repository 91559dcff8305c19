"""Alignment: nothing changed in a copy, whatever its layout or numbers; bounded work for bars that are all alike."""

from __future__ import annotations

import re
import time
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_solos import made_solo, version
from rebuilt import apply

from tabtools.review.change import Kind
from tabtools.review.compare import compare
from tabtools.review.sequence import MOST_CELLS, pairs_in_order, rising

CORPUS = sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))
TEXTS = [path.read_text(encoding="utf-8") for path in CORPUS] + [made_solo(seed) for seed in range(12)]
NAMES = [path.stem for path in CORPUS] + [f"made {seed}" for seed in range(12)]


def kinds(before: str, after: str) -> list[Kind]:
    old, new = version(before), version(after)
    comparison = compare(old, new)
    assert apply(comparison.changes, old.solo) == new.solo
    return [kind for change in comparison.changes for kind in change.kinds]


@pytest.mark.parametrize("text", TEXTS, ids=NAMES)
def test_a_copy_is_the_same(text: str) -> None:
    assert kinds(text, text) == []


@pytest.mark.parametrize("text", TEXTS, ids=NAMES)
def test_a_copy_laid_out_otherwise(text: str) -> None:
    assert kinds(text, re.sub(r"^(\d\S*) +", r"\1  ", text, flags=re.MULTILINE).replace("\n\n", "\n\n\n")) == [
        Kind.LAYOUT
    ]


@pytest.mark.parametrize("text", TEXTS, ids=NAMES)
def test_a_copy_counted_from_elsewhere(text: str) -> None:
    assert kinds(text, counted_from(100, text)) == [Kind.LAYOUT]


EMPTY = "title: A\nmeter: 4/4\n\n" + "\n".join(f"bar {number}\n1-4  .\n" for number in (1, 2, 3))
FULL = EMPTY.replace("bar 2\n1-4  .", "bar 2  Am\n1    3:5 3:7\n2-4  2:5").replace("bar 3\n1-4  .", "bar 3\n1-4  1:5")


def test_bars_that_are_filled_stay_where_they_are() -> None:
    assert Kind.BARS not in kinds(EMPTY, FULL)
    assert Kind.BARS not in kinds(FULL, EMPTY)


def counted_from(more: int, text: str) -> str:
    """Every bar number, and whatever names one, higher by so many."""

    def higher(match: re.Match) -> str:
        return re.sub(r"(?<![\d.])\d+", lambda number: str(int(number[0]) + more), match[0])

    text = re.sub(r"^bars? [\d-]+( like [\d-]+)?", higher, text, flags=re.MULTILINE)
    text = re.sub(r"(?<=@)\d+(?=\.\d)", higher, text)
    return re.sub(r"^passage [\d.-]+", higher, text, flags=re.MULTILINE)


# ---- sequences


def alike(one: list[int], other: list[int]):
    return lambda i, j: 1.0 if one[i] == other[j] else 0.0


numbers = st.lists(st.integers(0, 6), max_size=40)


@given(numbers, numbers)
def test_pairs_rise_on_both_sides_and_join_equals(one: list[int], other: list[int]) -> None:
    pairs = pairs_in_order(one, other, alike(one, other), lambda i, j: i == j)
    assert all(a < c and b < d for (a, b), (c, d) in pairwise(pairs))
    assert all(one[i] == other[j] for i, j in pairs)


@given(numbers, st.integers(0, 40), numbers)
def test_what_is_put_in_is_all_that_is_left_over(one: list[int], at: int, more: list[int]) -> None:
    other = one[:at] + [number + 100 for number in more] + one[at:]
    pairs = pairs_in_order(one, other, alike(one, other), lambda i, j: i == j)
    assert [i for i, _ in pairs] == list(range(len(one)))


@given(st.lists(st.integers(0, 30), unique=True))
def test_the_longest_rising_run(seconds: list[int]) -> None:
    found = rising(list(enumerate(seconds)))
    assert found == sorted(found, key=lambda pair: pair[1])
    longest = [1] * len(seconds)
    for at, second in enumerate(seconds):
        longest[at] = 1 + max((longest[i] for i in range(at) if seconds[i] < second), default=0)
    assert len(found) == max(longest, default=0)


@pytest.mark.parametrize("shape", ["one riff", "two riffs", "all new"])
def test_a_thousand_bars_take_no_time(shape: str) -> None:
    """Bars enough that weighing every pair of them would take minutes; some seconds are for a busy machine."""
    count = 1000
    assert count * count > 100 * MOST_CELLS
    riffs = {"one riff": 1, "two riffs": 2, "all new": count}[shape]
    before = "".join(
        f"\nbar {number}\n1-4  3:{number % riffs % 20} 2:{number % riffs // 20 % 20}\n" for number in range(1, count)
    )
    after = "".join(f"\nbar {number}\n1-4  1:{number % riffs % 20} 3:{number % 7}\n" for number in range(1, count))
    old, new = version(f"title: a\n{before}"), version(f"title: a\n{after}")
    began = time.process_time()
    comparison = compare(old, new)
    assert time.process_time() - began < 10
    assert apply(comparison.changes, old.solo) == new.solo
