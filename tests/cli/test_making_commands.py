"""tabtools new and tabtools init."""

from __future__ import annotations

from pathlib import Path

import pytest
from invoked import tabtools

NEW = ("new", "--title", "Low Tide", "--rights", "CC0-1.0")


def test_a_new_solo_with_everything_said(folder: Path) -> None:
    arguments = ("--player", "Ida Marlow", "--recording", "quay, 0:10 to 0:40", "--tuning", "drop D")
    result = tabtools(*NEW, *arguments, "--key", "A minor", "--meter", "12/8 in 4", "--tempo", "96.5", "--bars", "2")
    assert result == (0, "transcriptions/low-tide.solo: written, 2 bars to fill\n", "")
    assert (folder / "transcriptions" / "low-tide.solo").read_text(encoding="utf-8") == (
        "title:        Low Tide\n"
        "player:       Ida Marlow\n"
        "recording:    quay, 0:10 to 0:40\n"
        "rights:       CC0-1.0\n"
        "tuning:       drop D\n"
        "key:          A minor\n"
        "meter:        12/8 in 4\n"
        "tempo:        96.5\n"
        "\n"
        "bar 1\n"
        "1-4  ??\n"
        "\n"
        "bar 2\n"
        "1-4  ??\n"
    )
    assert tabtools("lint").status == 0
    assert tabtools("format", "--check").status == 0


def test_a_new_solo_with_the_least(folder: Path) -> None:
    assert tabtools(*NEW, "--bars", "1").out == "transcriptions/low-tide.solo: written, 1 bar to fill\n"
    assert (folder / "transcriptions" / "low-tide.solo").read_text(encoding="utf-8") == (
        "title:        Low Tide\nrights:       CC0-1.0\nmeter:        4/4\n\nbar 1\n1-4  ??\n"
    )


def test_a_meter_of_one_count(folder: Path) -> None:
    tabtools(*NEW, "--bars", "1", "--meter", "3/8 in 1")
    assert (folder / "transcriptions" / "low-tide.solo").read_text(encoding="utf-8").endswith("bar 1\n1    ??\n")


def test_a_new_solo_in_another_folder(folder: Path) -> None:
    assert tabtools(*NEW, "--to", "solos/blues").out == "solos/blues/low-tide.solo: written, 8 bars to fill\n"
    assert (folder / "solos" / "blues" / "low-tide.solo").is_file()


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Low Tide (take 2)", "low-tide-take-2"),
        ("  Ébb & Flów!  ", "ebb-flow"),
        ("../../etc/passwd", "etc-passwd"),
        ("x" * 300, "x" * 80),
    ],
)
def test_a_title_names_the_file(folder: Path, title: str, name: str) -> None:
    assert tabtools("new", "--title", title, "--rights", "CC0-1.0").status == 0
    assert [path.name for path in (folder / "transcriptions").iterdir()] == [f"{name}.solo"]


def test_what_is_there_is_left_alone(folder: Path) -> None:
    tabtools(*NEW)
    path = folder / "transcriptions" / "low-tide.solo"
    path.write_text("mine", encoding="utf-8")
    assert tabtools(*NEW) == (
        2,
        "",
        "tabtools: transcriptions/low-tide.solo is there already; add --force to replace it\n",
    )
    assert path.read_text(encoding="utf-8") == "mine"


def test_a_link_to_nothing_is_there_too(folder: Path) -> None:
    (folder / "transcriptions").mkdir()
    (folder / "transcriptions" / "low-tide.solo").symlink_to(folder / "elsewhere")
    assert tabtools(*NEW).status == 2
    assert not (folder / "elsewhere").exists()


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--rights", "CC0-1.0"), "a solo needs a title with letters or figures: --title"),
        (("--title", "???", "--rights", "CC0-1.0"), "a solo needs a title with letters or figures: --title"),
        (
            ("--title", "Low Tide"),
            "a solo needs its rights: --rights with a licence, “public domain” or whose permission you have",
        ),
        (
            (*NEW[1:], "--key", "H minor"),
            "“H minor” does not start with a tonic; write a key like A minor or Bb major: the tonic with a capital "
            "letter, # or b behind it",
        ),
        ((*NEW[1:], "--meter", "4"), "meter: “4” is no meter; write it as 4/4, 7/8 or 12/8 in 4"),
        ((*NEW[1:], "--tempo", "fast"), "“fast” is not a tempo; write a number, in beats a minute"),
        (
            (*NEW[1:], "--player", "a #1 hit"),
            "player: a line break, or a # after a space (it starts a comment), cannot stand here",
        ),
        (
            (*NEW[1:], "--recording", "a\nbar 9"),
            "recording: a line break, or a # after a space (it starts a comment), cannot stand here",
        ),
        ((*NEW[1:], "--player", "a\x1bb"), "a terminal escape is not allowed in a solo file; delete it"),
        ((*NEW[1:], "--player", "a\u2028b"), "a line separator is not allowed in a solo file; delete it"),
        (
            (*NEW[1:], "--player", "x" * 1990),
            "a line would have more than 2,000 characters once it is laid out; shorten the longest line",
        ),
        (
            (*NEW[1:], "--player", "x" * 2000),
            "the line has 2,008 characters; the most is 2,000; write it shorter, or on several lines",
        ),
    ],
)
def test_answers_that_cannot_go_into_a_solo(folder: Path, arguments: tuple[str, ...], message: str) -> None:
    status, out, err = tabtools("new", *arguments)
    assert (status, out, err) == (2, "", f"tabtools: {message}\n")
    assert not (folder / "transcriptions").exists()


@pytest.mark.parametrize("bars", ["0", "401", "x"])
def test_a_number_of_bars_that_cannot_be(folder: Path, bars: str) -> None:
    assert tabtools(*NEW, "--bars", bars).status == 2


def test_a_folder_that_is_a_file(folder: Path) -> None:
    (folder / "transcriptions").write_text("no folder")
    status, out, err = tabtools(*NEW)
    assert (status, out) == (2, "")
    assert err.startswith("tabtools: transcriptions/low-tide.solo cannot be written: ")


def test_a_repository_of_ones_own(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    status, out, err = tabtools("init", "my-solos")
    assert (status, err) == (0, "")
    assert out.startswith("my-solos/.gitattributes: written\n")
    assert "\nNext: cd my-solos, then tabtools lint, and tabtools serve to look at the site.\n" in out
    assert "\nAll signs of a solo stand on one page: my-solos/site_docs/format-card.md\n" in out
    files = sorted(path.relative_to(folder / "my-solos").as_posix() for path in folder.rglob("*") if path.is_file())
    assert files == [
        ".gitattributes",
        ".gitignore",
        "mkdocs.yml",
        "pyproject.toml",
        "site_docs/format-card.md",
        "site_docs/index.md",
        "transcriptions/first-light.md",
        "transcriptions/first-light.solo",
    ]
    monkeypatch.chdir(folder / "my-solos")
    assert tabtools("lint", "--strict") == (0, "1 solo checked, nothing found\n", "")
    assert tabtools("format", "--check").status == 0
    assert tabtools("annotate", "transcriptions/first-light.solo").status == 0
    assert tabtools(*NEW).out.startswith("transcriptions/low-tide.solo: written")


def test_init_here(folder: Path) -> None:
    assert "\nNext: tabtools lint, and " in tabtools("init").out
    assert (folder / "mkdocs.yml").is_file()


def test_init_touches_nothing_that_is_there(folder: Path) -> None:
    (folder / "mkdocs.yml").write_text("site_name: mine")
    assert tabtools("init") == (2, "", "tabtools: mkdocs.yml is there already; add --force to replace it\n")
    assert [path.name for path in folder.iterdir()] == ["mkdocs.yml"]
    (folder / ".gitignore").write_text("mine")
    assert tabtools("init").err == "tabtools: .gitignore, mkdocs.yml are there already; add --force to replace them\n"
    assert tabtools("init", "--force").status == 0
    assert (folder / "mkdocs.yml").read_text() != "site_name: mine"


def test_init_that_was_broken_off_is_finished(folder: Path) -> None:
    tabtools("init")
    (folder / "mkdocs.yml").unlink()
    status, out, err = tabtools("init")
    assert (status, err) == (0, "")
    assert out.startswith("mkdocs.yml: written\n\nNext: ")
    assert tabtools("init").out.startswith("everything is there already\n\nNext: ")


def test_init_beside_other_files(folder: Path) -> None:
    (folder / "notes.txt").write_text("mine")
    assert tabtools("init").status == 0
    assert (folder / "notes.txt").read_text() == "mine"


def test_init_where_a_file_is(folder: Path) -> None:
    (folder / "solos").write_text("no folder")
    assert tabtools("init", "solos").status == 2
    (folder / "site_docs").write_text("no folder either")
    status, _, err = tabtools("init")
    assert status == 2
    assert err.startswith("tabtools: site_docs/index.md cannot be written: ")
