"""Merges of solos with errors that a lint reports: no side's text is lost, and the same change never conflicts."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

import pytest
from made_solos import made_solo
from test_merge import merged
from test_merge_cases import BASE, HEADER, clean, with_changes
from thoroughness import share

from tabtools.notation.build import read_solo
from tabtools.notation.write import canonical
from tabtools.review.merging.text import MergedText, decided
from tabtools.source import from_text

SEEDS = 240

HEADER_SLIPS = ("tuning: E A D", "tuning: E2 A2 D3 G3 B3 E4 A4", "tuning: zz", "capo: 99", "title: again", "key: H")
BAR_SLIPS = ("bar 3", "bars 9-1 like 3-4", "bars 2-3 like 99-100", "passage 1.1-99.9", "passage 9.1-1.1  x", "bar 0")


def _count_repeated(lines: list[str], at: int, rng: random.Random) -> None:
    if count := re.match(r"\d+", lines[at]):
        lines.insert(at + rng.randint(0, 1), f"{count[0]}  - - 3:{rng.randint(1, 9)}")


def _counts_crossed(lines: list[str], at: int, rng: random.Random) -> None:
    lines[at] = re.sub(r"^\d+(-\d+)?", f"{rng.randint(0, 5)}-{rng.randint(0, 9)}", lines[at])


def _unknown_string(lines: list[str], at: int, rng: random.Random) -> None:
    lines[at] = re.sub(r"\b\d:", f"{rng.choice((0, 7, 9))}:", lines[at], count=1)


def _origin_lost(lines: list[str], at: int, rng: random.Random) -> None:
    lines[at] = re.sub(r"^(\d+ +).*", rf"\g<1>{rng.choice(('h7', 'p5 -', '/9 h10'))}", lines[at])


def _header_slip(lines: list[str], at: int, rng: random.Random) -> None:
    lines.insert(rng.randrange(8), rng.choice(HEADER_SLIPS))


def _header_swapped(lines: list[str], at: int, rng: random.Random) -> None:
    one, other = rng.sample(range(7), 2)
    lines[one], lines[other] = lines[other], lines[one]


def _bar_slip(lines: list[str], at: int, rng: random.Random) -> None:
    lines.insert(max(at, 8), rng.choice(BAR_SLIPS))


def _doubled(lines: list[str], at: int, rng: random.Random) -> None:
    lines.insert(rng.randrange(8, len(lines)), lines[at])


SLIPS: tuple[Callable[[list[str], int, random.Random], None], ...] = (
    _count_repeated, _counts_crossed, _unknown_string, _origin_lost, _header_slip, _header_swapped, _bar_slip, _doubled,
)  # fmt: skip


def faulty(text: str, rng: random.Random, most: int = 4) -> str:
    """The text with some slips, each of which can still be read, in its canonical form."""
    while True:
        lines = text.rstrip("\n").split("\n")
        for _ in range(rng.randint(1, most)):
            rng.choice(SLIPS)(lines, rng.randrange(8, len(lines)), rng)
        reading = read_solo(from_text("\n".join(lines) + "\n"))
        if not reading.unreadable:
            return canonical(reading.solo)


def made(seed: int) -> tuple[str, str, random.Random]:
    """A solo, with slips or without, and one with more of them."""
    rng = random.Random(seed)
    base = made_solo(seed)
    if seed % 3 == 0:
        base = faulty(base, rng)
    return base, faulty(base, rng), rng


@pytest.mark.parametrize("seed", range(share(SEEDS)))
def test_what_one_side_changed_alone_or_both_alike_is_taken_as_it_is(seed: int) -> None:
    base, changed, _ = made(seed)
    wanted = MergedText(changed, 0)
    assert merged(base, changed, changed) == wanted
    assert merged(base, changed, base) == wanted
    assert merged(base, base, changed) == wanted
    for empty in ("", "\n"):
        assert merged(empty, changed, changed) == wanted
        assert merged(empty, changed, empty) == wanted
        assert merged(empty, empty, changed) == wanted


@pytest.mark.parametrize("seed", range(share(SEEDS)))
def test_the_same_change_does_not_conflict_where_one_side_changed_more(seed: int) -> None:
    base, common, rng = made(seed)
    lines = common.split("\n")
    beats = [at for at, line in enumerate(lines) if re.match(r"\d", line) and line in base.split("\n")]
    beats = [at for at in beats if base.count(_bar(lines, at)) == 1 == common.count(_bar(lines, at))]
    if not beats:
        return
    at = rng.choice(beats)
    lines[at] += "  # heard twice"
    more = canonical(read_solo(from_text("\n".join(lines))).solo)
    assert merged(base, common, more) == merged(base, more, common) == MergedText(more, 0)


def _bar(lines: list[str], at: int) -> str:
    """The lines of a bar up to one of them."""
    start = next((index for index in range(at, -1, -1) if lines[index].startswith("bar")), at)
    return "\n".join(lines[start : at + 1]) + "\n"


@pytest.mark.parametrize("seed", range(share(SEEDS)))
def test_no_sides_text_is_lost(seed: int) -> None:
    base, ours, rng = made(seed)
    theirs = faulty(base, rng)
    outcome = merged(base, ours, theirs)
    for side in (ours, theirs):
        assert _written(side) - _written(base) <= _written(outcome.text)
    for side in ("ours", "theirs"):
        assert not read_solo(from_text(decided(outcome.text, side))).unreadable


def _written(text: str) -> set[str]:
    """What stands on its lines; numbers of bars, and strings of moves, which a merge may name, are left out."""
    return {re.sub(r"(?<=[hp/])\d:", "", line) for line in text.split("\n") if not line.startswith(("bar", "passage"))}


# ---- one by one


def test_a_move_from_nowhere_stays_without_a_string() -> None:
    base = with_changes(("1    3:5 h7", "1    . -"), ("2    2:5 2:8", "2    h7 -"))
    ours = with_changes(("2    h7 -", "2    h8 -"), text=base)
    theirs = with_changes(("1    . -", "1    3:5 -"), text=base)
    assert "\n2    h8 -\n" in clean(ours, theirs, base)
    assert "\n2    h8 -\n" in clean(theirs, ours, base)


def test_the_order_of_the_header_is_that_of_the_side_that_changed_it() -> None:
    first, second, third = HEADER.splitlines()
    corrected = ("2    2:5 2:8", "2    2:5 2:7")
    for lines in ((second, first, third), (third, second, first), (third, first, second)):
        swapped = with_changes((HEADER, "\n".join(lines) + "\n"))
        wanted = with_changes(corrected, text=swapped)
        assert clean(swapped, with_changes(corrected)) == clean(with_changes(corrected), swapped) == wanted


def test_a_line_added_on_both_sides_is_there_once_though_one_mends_the_line_above() -> None:
    ours = with_changes(("4    1:8 1:7\n", "4    1:8 1:7\n4    - - 3:7\n"))
    theirs = with_changes(("1:8 1:7", "1:8 1:6"), text=ours)
    assert clean(ours, theirs) == theirs


def test_a_count_filled_twice_by_one_side_goes_with_what_the_other_mended_there() -> None:
    ours = with_changes(("4    1:8 1:7\n", "4    1:8 1:7\n4    - - 3:7\n"))
    theirs = with_changes(("1:8 1:7", "1:8 1:6"))
    assert clean(ours, theirs) == with_changes(("1:8 1:7", "1:8 1:6"), text=ours)


def test_lines_out_of_their_order_merge_one_by_one() -> None:
    base = with_changes(("2    2:5 2:8\n3    p5 -\n", "3    p5 -\n2    2:5 2:8\n"))
    changes = ("1    3:5 h7", "1    3:4 h7"), ("4    1:8 1:7", "4    1:8 1:6")
    ours, theirs = (with_changes(change, text=base) for change in changes)
    assert clean(ours, theirs, base) == with_changes(*changes, text=base)


def test_a_bar_set_out_of_time_on_both_sides_merges_beat_by_beat() -> None:
    free = with_changes(("bar 1  Dm7", "bar 1  Dm7  free 4s"))
    changes = ("1    3:5 h7", "1    3:4 h7"), ("4    1:8 1:7", "4    1:8 1:6")
    ours, theirs = (with_changes(change, text=free) for change in changes)
    assert clean(ours, theirs) == with_changes(*changes, text=free)
    assert clean(ours, ours) == ours
    assert merged(BASE, ours, with_changes(changes[1])).conflicts == 1
