"""What is open in solos, as it is said and as JSON has it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from case_files import Case, cases_in
from click.testing import CliRunner

from tabtools.cli import main

CASES = cases_in(Path(__file__).parent / "cases" / "todo.txt", "..", ">>")
HEADER = "title: Low Water\nplayer: A\nrights: CC0-1.0\nmeter: 4/4\ntempo: 120\n\n"
HEARD = "bar 1  Am\n1-4  3:7\n"
OPEN = "bar 1  Am  at 0:10\n1-2  ? 3:7\n3-4  =D4\n"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def todo(*arguments: str) -> str:
    result = CliRunner().invoke(main, ["todo", *arguments], catch_exceptions=False)
    assert (result.exit_code, result.stderr) == (0, "")
    return result.stdout


def write(folder: Path, name: str, body: str, header: str = HEADER) -> None:
    (folder / f"{name}.solo").write_text(header + body, encoding="utf-8")


@pytest.mark.parametrize("case", CASES, ids=str)
def test_one_solo(folder: Path, case: Case) -> None:
    write(folder, "low", case.text)
    if case.said[">>"]:
        (folder / "low.md").write_text("\n".join(case.said[">>"]) + "\n", encoding="utf-8")
    name, *lines = todo("low.solo").splitlines()
    assert name == "Low Water (low.solo)"
    assert lines == case.said[".."]


def test_a_collection_is_a_table_and_what_is_open(folder: Path) -> None:
    (folder / "transcriptions").mkdir()
    write(folder / "transcriptions", "open", OPEN)
    write(folder / "transcriptions", "settled", HEARD)
    write(folder / "transcriptions", "a-name-that-is-too-long-for-its-column", HEARD, "draft: yes\n")
    said = todo()
    assert (
        said
        == f"""\
                                bars  heard  placed  certain  explained  open
a-name-that-is-too-lon…, draft     1      1       1        1          0     0
open                               1      0       0        0          0     2
settled                            1      1       1        1          0     0

a-name-that-is-too-long-for-its-column, a draft (transcriptions/a-name-that-is-too-long-for-its-column.solo)
1 bar: 1 heard, 1 placed, 1 certain, 0 explained
nothing is open

it is published as a draft; before it can be published as more than that:
  line 1: the solo has no title [title-missing]
  line 1: the solo does not say by what right it is published [rights-missing]
  line 1: the solo has no meter [meter-missing]
  line 1: the solo names neither player nor recording [source-missing]

{todo("transcriptions/open.solo")}
2 open things in 1 of 3 solos
"""
    )


def test_nothing_is_open_in_several(folder: Path) -> None:
    for name in ("one", "two"):
        write(folder, name, HEARD)
    assert todo(".").splitlines()[-1] == "nothing is open in 2 solos"


def test_a_draft_in_which_nothing_is_wrong(folder: Path) -> None:
    write(folder, "low", HEARD, f"draft: yes\n{HEADER}")
    assert todo("low.solo").splitlines() == [
        "Low Water, a draft (low.solo)",
        "1 bar: 1 heard, 1 placed, 1 certain, 0 explained",
        "nothing is open",
        "",
        "it is published as a draft until draft: yes is taken out of its header",
    ]


def test_a_draft_with_errors_is_published_all_the_same_unless_a_merge_is_not_finished(folder: Path) -> None:
    write(folder, "low", HEARD + "2    3:7b\n", f"draft: yes\n{HEADER}")
    assert (
        todo("low.solo").splitlines()[4] == "it is published as a draft; before it can be published as more than that:"
    )
    write(folder, "low", HEARD + "<<<<<<< ours\n", f"draft: yes\n{HEADER}")
    assert "before it can be published:" in todo("low.solo").splitlines()


@pytest.mark.parametrize(("errors", "more"), [(5, ""), (6, "1 more error"), (7, "2 more errors")])
def test_errors_beyond_a_few_are_counted(folder: Path, errors: int, more: str) -> None:
    write(folder, "low", HEARD + "".join(f"bar {bar}\n1-5  3:7\n" for bar in range(2, 2 + errors)))
    lines = todo("low.solo").splitlines()
    assert [line.partition(":")[0] for line in lines if line.startswith("  line ")] == [
        f"  line {line}" for line in (10, 12, 14, 16, 18)
    ]
    assert (f"  … and {more}; tabtools lint shows them" in lines) == bool(more)


def test_a_line_that_cannot_be_read_leaves_its_bar_unheard(folder: Path) -> None:
    write(folder, "low", "bar 1  Am\n1-3  3:7\n4    what\nbar 2\n")
    assert todo("low.solo").splitlines()[1] == "2 bars: 0 heard, 0 placed, 0 certain, 0 explained"


def test_json(folder: Path) -> None:
    write(folder, "low", OPEN.replace("at 0:10", ""))
    write(folder, "tide", OPEN, HEADER.replace("rights: CC0-1.0", "draft: yes").replace("Low Water", "Ébb"))
    assert '"Ébb"' in todo("tide.solo", "--format", "json")
    low, tide = json.loads(todo("low.solo", "tide.solo", "--format", "json"))
    assert [thing["at"] for thing in low["open"]] == [None, None]
    assert tide == {
        "path": "tide.solo",
        "title": "Ébb",
        "draft": True,
        "bars": 1,
        "pickup": False,
        "heard": 0,
        "placed": 0,
        "certain": 0,
        "explained": 0,
        "open": [
            {
                "kind": "pitch",
                "address": "1.1.1",
                "place": "1.1",
                "line": 8,
                "column": 6,
                "at": 10.0,
                "until": 10.5,
                "message": "the pitch of this note is not known yet",
            },
            {
                "kind": "place",
                "address": "1.3.1",
                "place": "1.3",
                "line": 9,
                "column": 6,
                "at": 11.0,
                "until": 12.0,
                "message": "D4 has no place on the neck yet",
            },
        ],
        "next": 0,
        "lacks": [
            {
                "check": "rights-missing",
                "severity": "error",
                "message": "the solo does not say by what right it is published",
                "advice": tide["lacks"][0]["advice"],
            }
        ],
    }


def test_no_solos(folder: Path) -> None:
    assert json.loads(todo(".", "--format", "json")) == []
    assert todo(".") == "nothing is open in 0 solos\n"
