"""tabtools bars: solo, lessons and links are changed together, and what is left is named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from git_repositories import GitRepository, new_repository
from invoked import tabtools

from tabtools.writing import write_atomically

DUSK = """\
title:        Ferry at Dusk
player:       Ida Marlow
recording:    slipway tape
rights:       CC0-1.0
summary:      The turn in bar 2 is the point.
meter:        4/4

bar 1  Dm7
1-4  3:5

bar 2  G7
1-4  3:7

bar 3 like 1  # as bar 1, softer

passage 2.1-3.2  The turn
"""
LESSON = """\
# Ferry at Dusk

It begins on `@1.1.1 C4` and turns in bar 2, `@2.1.1 D4, 5 of G7`; in bars 2
and 3 it `@3 as 1`. [Hear it](#b2.1), or [the other one](dawn.md#b2).

    bar 2 `@2 1 notes`
"""
DAWN = "See [the turn](dusk.md#b2.1) and [all of it](dusk.solo#b3), not [this](other-dusk.md#b2) or [that](#b2).\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    solos = tmp_path / "transcriptions"
    solos.mkdir()
    for name, text in {"dusk.solo": DUSK, "dusk.md": LESSON, "dawn.md": DAWN}.items():
        (solos / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return solos


@pytest.fixture
def repository(folder: Path) -> GitRepository:
    found = new_repository(folder.parent)
    found.git("add", ".")
    found.git("commit", "-qm", "as it was")
    return found


def read(folder: Path, name: str) -> str:
    return (folder / name).read_text(encoding="utf-8")


def test_all_that_names_a_bar_goes_along(folder: Path) -> None:
    result = tabtools("bars", "insert", "transcriptions/dusk.solo", "--before", "2")
    assert result.status == 1
    assert result.out == (
        "transcriptions/dusk.solo: 1 bar put in, bar 2, 2 other bars renumbered\n"
        "transcriptions/dawn.md: 2 links carried along\n"
        "transcriptions/dusk.md: 3 claims, 1 link carried along\n"
        "\n"
        "to look at:\n"
        "  transcriptions/dusk.solo:5  “bar 2”: bar 2 is bar 3 now\n"
        "  transcriptions/dusk.md:3  “bar 2”: bar 2 is bar 3 now\n"
        "  transcriptions/dusk.md:3  “bars 2 and 3”: bar 2 is bar 3 now; bar 3 is bar 4 now\n"
        "  transcriptions/dusk.md:6  “bar 2”: bar 2 is bar 3 now\n"
    )
    assert "bar 2\n1-4  ??\n\nbar 3  G7\n1-4  3:7\n\nbar 4 like 1" in read(folder, "dusk.solo")
    assert read(folder, "dusk.md").endswith(
        "bar 2, `@3.1.1 D4, 5 of G7`; in bars 2\nand 3 it `@4 as 1`. [Hear it](#b3.1), or [the other one](dawn.md#b2)."
        "\n\n    bar 2 `@3 1 notes`\n"
    )
    assert read(folder, "dawn.md") == DAWN.replace("dusk.md#b2.1", "dusk.md#b3.1", 1).replace("solo#b3", "solo#b4")
    assert tabtools("lint", "--select", "claim", "transcriptions").status == 0


def test_bars_named_in_words_go_along_where_that_is_asked(folder: Path) -> None:
    result = tabtools("bars", "insert", "transcriptions/dusk.solo", "--before", "2", "--words")
    assert result.status == 0
    assert "3 claims, 1 link, 3 bars named in words carried along" in result.out
    assert "turn in bar 3 is" in read(folder, "dusk.solo")
    assert "turns in bar 3," in read(folder, "dusk.md")
    assert "in bars 3\nand 4 it" in read(folder, "dusk.md")


def test_what_was_done_is_undone(folder: Path) -> None:
    tabtools("bars", "insert", "transcriptions/dusk.solo", "--before", "2", "--count", "2", "--words")
    assert tabtools("bars", "remove", "transcriptions/dusk.solo", "2-3", "--words").status == 0
    assert [read(folder, name) for name in ("dusk.solo", "dusk.md", "dawn.md")] == [DUSK, LESSON, DAWN]


def test_claims_about_bars_that_are_gone_are_named_and_left(folder: Path) -> None:
    out = tabtools("bars", "remove", "transcriptions/dusk.solo", "2").out
    assert "transcriptions/dusk.md:3  “@2.1.1 D4, 5 of G7”: bar 2 is gone" in out
    assert "“#b2.1”: bar 2 is gone" in out
    assert "the passage “The turn”, 2.1-3.2 before, is 2-2.2 now: some of its bars are gone" in out
    assert "`@2.1.1 D4, 5 of G7`" in read(folder, "dusk.md")
    assert "`@2 as 1`" in read(folder, "dusk.md")


def test_a_claim_whose_bars_are_parted_is_left_as_it_is(folder: Path) -> None:
    (folder / "dusk.md").write_text("All of `@1-2 2 notes`, and `@3 as 1`.\n", encoding="utf-8")
    out = tabtools("bars", "move", "transcriptions/dusk.solo", "3", "--before", "2").out
    assert "“@1-2 2 notes”: its bars do not stand together any more: bar 2 is bar 3 now" in out
    assert read(folder, "dusk.md") == "All of `@1-2 2 notes`, and `@2 as 1`.\n"


def test_nothing_is_written_where_it_is_only_to_be_seen(folder: Path) -> None:
    out = tabtools("bars", "insert", "transcriptions/dusk.solo", "--before", "2", "--diff").out
    assert "+++ transcriptions/dusk.solo (renumbered)" in out
    assert "+1-4  ??" in out
    assert "+and 3 it `@4 as 1`." in out
    assert [read(folder, name) for name in ("dusk.solo", "dusk.md", "dawn.md")] == [DUSK, LESSON, DAWN]


def test_all_files_are_written_or_none(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full_disk(path: Path, content: str | bytes, **named: object) -> None:
        if path.name == "dusk.md":
            raise OSError(28, "No space left on device")
        write_atomically(path, content, **named)  # type: ignore[arg-type]

    monkeypatch.setattr("tabtools.cli.output.write_atomically", full_disk)
    result = tabtools("bars", "insert", "transcriptions/dusk.solo", "--before", "2")
    assert result == (2, "", "tabtools: transcriptions/dusk.md cannot be written: no space left on device\n")
    assert [read(folder, name) for name in ("dusk.solo", "dusk.md", "dawn.md")] == [DUSK, LESSON, DAWN]


# ---- numbered after a change by hand


def by_hand(folder: Path) -> None:
    """A bar put in by hand, under the number of the one behind it."""
    text = DUSK.replace("bar 2  G7", "bar 2  Am7\n1-4  1:8\n\nbar 2  G7")
    (folder / "dusk.solo").write_text(text, encoding="utf-8")


def test_the_linter_offers_to_number_bars_that_stand_twice(repository: GitRepository, folder: Path) -> None:
    by_hand(folder)
    out = tabtools("lint", "transcriptions/dusk.solo").out
    assert "bar 2 stands twice" in out
    assert "tabtools bars renumber" in " ".join(out.split())


def test_what_was_not_changed_by_hand_goes_along(repository: GitRepository, folder: Path) -> None:
    by_hand(folder)
    lesson = LESSON.replace("[Hear it](#b2.1)", "[Hear it](#b3.1)").replace("`@3 as 1`", "`@4 as 1`")
    (folder / "dusk.md").write_text(lesson, encoding="utf-8")
    result = tabtools("bars", "renumber", "transcriptions/dusk.solo")
    assert result.out.startswith("transcriptions/dusk.solo: 2 bars have another number than at HEAD\n")
    assert "passage 3.1-4.2  The turn" in read(folder, "dusk.solo")
    assert "bar 2  Am7\n1-4  1:8\n\nbar 3  G7\n1-4  3:7\n\nbar 4 like 1" in read(folder, "dusk.solo")
    assert "`@3.1.1 D4, 5 of G7`" in read(folder, "dusk.md")
    assert "`@4 as 1`. [Hear it](#b3.1)" in read(folder, "dusk.md")
    assert "dusk.md#b3.1" in read(folder, "dawn.md")
    before = [read(folder, name) for name in ("dusk.solo", "dusk.md", "dawn.md")]
    assert "2 bars have another number" in tabtools("bars", "renumber", "transcriptions/dusk.solo").out
    assert [read(folder, name) for name in ("dusk.solo", "dusk.md", "dawn.md")] == before


def test_a_repeat_goes_along(repository: GitRepository, folder: Path) -> None:
    text = DUSK.replace("bar 1  Dm7", "bar 1  Am7\n1-4  1:8\n\nbar 1  Dm7")
    (folder / "dusk.solo").write_text(text, encoding="utf-8")
    assert tabtools("bars", "renumber", "transcriptions/dusk.solo").status == 1
    assert "bar 4 like 2  # as bar 1, softer" in read(folder, "dusk.solo")


def test_a_repeat_of_what_is_gone_is_named(repository: GitRepository, folder: Path) -> None:
    text = DUSK.replace("bar 1  Dm7\n1-4  3:5\n\n", "")
    (folder / "dusk.solo").write_text(text, encoding="utf-8")
    out = tabtools("bars", "renumber", "transcriptions/dusk.solo").out
    assert "bar 3 repeats bar 1 of before, gone now or not together: write it anew" in out


def test_without_a_commit_the_numbers_in_the_file_tell(folder: Path) -> None:
    text = DUSK.replace("bar 2  G7", "bar 5  G7").replace("passage 2.1-3.2", "passage 5.1-5.2")
    (folder / "dusk.solo").write_text(text.replace("bar 3 like 1", "bar 6 like 1"), encoding="utf-8")
    (folder / "dusk.md").write_text("`@5.1.1 D4`\n", encoding="utf-8")
    tabtools("bars", "renumber", "transcriptions/dusk.solo")
    assert read(folder, "dusk.md") == "`@2.1.1 D4`\n"
    assert "passage 2.1-2.2  The turn" in read(folder, "dusk.solo")


def test_without_a_commit_bars_of_one_number_are_refused(folder: Path) -> None:
    by_hand(folder)
    result = tabtools("bars", "renumber", "transcriptions/dusk.solo")
    assert result.status == 2
    assert "two bars have the number 2, and no commit says which of them is the old one" in result.err


def test_a_difference_says_what_goes_by_old_numbers_and_where_it_holds(repository: GitRepository, folder: Path) -> None:
    text = DUSK.replace("bar 2  G7", "bar 2  Am7\n1-4  1:8\n\nbar 3  G7").replace("bar 3 like", "bar 4 like")
    (folder / "dusk.solo").write_text(text.replace("2.1-3.2", "3.1-4.2"), encoding="utf-8")
    out = tabtools("diff").out
    assert "no longer true" not in out
    assert (
        "  the lesson goes by the old numbers\n"
        "    3 claims and 1 link: tabtools bars renumber takes them along\n"
        "    2 claims not true there, and true by the new numbers: the first at 3.1.1\n"
        "    line 3, “bar 2”: bar 2 is bar 3 now\n"
    ) in out
    tabtools("bars", "renumber", "transcriptions/dusk.solo", "--words")
    assert "old numbers" not in tabtools("diff").out
    assert json.loads(tabtools("diff", "--format", "json").out)[0]["consequences"]["old_numbers"]["claims"] == 0
