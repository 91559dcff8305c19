"""A review draws and plays what changed and what is near it, as it looks and sounds in the whole solo."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from made_solos import made_solo, version

from tabtools.checks.subject import subject_of
from tabtools.cli.differences import change_of_files
from tabtools.engraving import systems_of
from tabtools.hand import DEFAULT_PROFILE
from tabtools.reports.review import Reviewed
from tabtools.review.compare import compare
from tabtools.source import from_text
from tabtools.timeline import Timeline
from tabtools.timeline.excerpt import excerpt
from tabtools.website.bar_pairs import Drawn, marked_notes
from tabtools.website.review_page import MOST_SAME_FINDINGS, review_page

DEMOS = Path(__file__).parents[2] / "transcriptions"
HEAD = "title: A\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\n"


def timeline(text: str) -> Timeline:
    return subject_of(from_text(text)).timeline


def demo(name: str) -> Timeline:
    return timeline((DEMOS / f"{name}.solo").read_text(encoding="utf-8"))


def drawn(whole: Timeline, numbers: list[int]) -> Drawn:
    return Drawn(whole, "x", "now", frozenset(), frozenset(numbers))


# ---- excerpts


@pytest.mark.parametrize("seed", range(3))
def test_an_excerpt_has_the_bars_and_their_notes(seed: int) -> None:
    whole = timeline(made_solo(seed))
    for first in range(len(whole.bars)):
        for end in range(first, len(whole.bars) + 1):
            part = excerpt(whole, range(first, end))
            assert part.bars == whole.bars[first:end]
            onsets = [bar.onset for bar in part.bars]
            notes = [note for note in whole.notes if note.begins.bar in onsets]
            assert [note._replace(index=0, origin=None) for note in part.notes] == [
                note._replace(index=0, origin=None) for note in notes
            ]
            for place, (note, before) in enumerate(zip(part.notes, notes, strict=True)):
                assert note.index == place
                if note.origin is not None:
                    assert part.notes[note.origin].address == whole.notes[before.origin or 0].address
                elif before.origin is not None:
                    assert before.origin < notes[0].index


def test_the_systems_are_those_that_are_drawn() -> None:
    whole = timeline(made_solo(1, 22))
    places = [place for system in systems_of(whole) for place in system]
    assert places == list(range(len(whole.bars)))
    pickup = HEAD + "\nbar 0\n4  3:5\n" + "".join(f"\nbar {number}\n1-4  3:7\n" for number in range(1, 10))
    assert [len(system) for system in systems_of(timeline(pickup))] == [5, 2, 3]


# ---- drawings


@pytest.mark.parametrize("name", ["becalmed", "foghorn-shuffle", "seven-piles", "tide-tables"])
def test_a_bar_alone_is_drawn_as_in_the_whole_solo(name: str) -> None:
    whole = demo(name)
    numbers = [bar.number for bar in whole.bars]
    everything = drawn(whole, numbers)
    for number in numbers:
        alone = drawn(whole, [number])
        assert alone.bars == {number: everything.bars[number]}
        assert alone.bars_html([number]) == everything.bars_html([number])


def test_bars_of_one_system_stand_in_a_row_in_their_order() -> None:
    whole = timeline(HEAD + "".join(f"\nbar {number}\n1-4  3:7\n" for number in range(1, 14)))
    rows = drawn(whole, [1, 3, 4, 5, 13]).bars_html([13, 4, 3, 5, 1, 99])
    assert [re.findall(r'aria-label="Bar (\d+)', row) for row in rows.split('<div class="tt-bars">')[1:]] == [
        ["1", "3", "4"],
        ["5"],
        ["13"],
    ]


def test_of_two_bars_of_one_number_the_first_is_drawn() -> None:
    text = HEAD + "\nbar 1\n1-4  3:7\n\nbar 2\n1-4  3:8\n\nbar 2\n1-4  3:9\n"
    assert "8" in re.sub(r"<[^>]*>", "", drawn(timeline(text), [2]).bars[2])
    assert list(drawn(timeline(text), [2]).bars) == [2]


# ---- pages


def page_of(tmp_path: Path, before: str, after: str) -> str:
    paths = [tmp_path / "before.solo", tmp_path / "after.solo"]
    for path, text in zip(paths, (before, after), strict=True):
        path.write_text(text, encoding="utf-8")
    return review_page(Reviewed("x", (change_of_files(*paths, "a.solo", DEFAULT_PROFILE),)))


def scores(page: str) -> list[dict[str, list[list[int]]]]:
    return [json.loads(one) for one in re.findall(r'<script type="application/json" [^>]*>(.*?)</script>', page)]


def plain(bars: int, changed: dict[int, str]) -> str:
    return HEAD + "".join(f"\nbar {number}\n1-4  {changed.get(number, '3:7')}\n" for number in range(1, bars + 1))


def test_a_page_is_as_large_as_what_changed(tmp_path: Path) -> None:
    short, long = (page_of(tmp_path, plain(bars, {}), plain(bars, {20: "3:8"})) for bars in (40, 400))
    assert len(long) < 1.02 * len(short)
    for score in scores(long):
        assert [bar[0] for bar in score["bars"]] == list(range(13, 25))
    assert len(scores(long)) == 2


def test_what_is_played_lies_where_the_buttons_say(tmp_path: Path) -> None:
    page = page_of(tmp_path, plain(100, {}), plain(100, {20: "3:8", 21: "3:8", 77: "3:9"}))
    now = scores(page)[1]
    assert [bar[0] for bar in now["bars"]] == [*range(13, 29), *range(73, 85)]
    buttons = re.findall(r'data-score="f0-new-score" data-from="(\d+)" data-to="(\d+)"', page)
    starts = {bar[1] for bar in now["bars"]}
    assert {int(start) for start, _ in buttons} <= starts
    for start, end in buttons:
        assert any(int(start) <= voice[0] < int(end) for voice in now["voices"])


def test_a_new_bar_has_nothing_to_play_before(tmp_path: Path) -> None:
    page = page_of(tmp_path, plain(8, {}), plain(9, {}))
    assert len(scores(page)) == 1
    assert set(re.findall(r'data-score="([\w-]+)"', page)) == {"f0-new-score"}


def test_findings_that_stay_are_not_all_listed(tmp_path: Path) -> None:
    doubtful = dict.fromkeys(range(1, 81), "3:7?")
    page = page_of(tmp_path, plain(80, doubtful), plain(80, doubtful | {40: "3:7"}))
    assert page.count(f"<li>and {79 - MOST_SAME_FINDINGS} more, the same before and after</li>") == 2
    assert page.count("gone:</b>") == 1


def test_lines_that_became_one_are_marked_on_both_sides_as_a_whole() -> None:
    head = "title: Dusk\nmeter: 4/4\n\nbar 1  C\n"
    comparison = compare(version(f"{head}1-2  3:5 h7\n3-4  3:4 2:5 2:6\n"), version(f"{head}1-4? 3:5 h7 3:4 2:5 2:6\n"))
    assert [len(side) for side in marked_notes(comparison.changes, comparison)] == [5, 5]
