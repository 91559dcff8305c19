"""`tabtools find`, command line by command line: what it prints, where, and its exit status.

In the case files `$` is the command over the folder `solos`, `!` what goes to standard error, `=` the exit status.
"""

from __future__ import annotations

import json
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from case_files import Case, cases_in
from click.testing import CliRunner, Result

from tabtools.cli import main

HERE = Path(__file__).parent
WIDTH = 80


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(HERE / "solos", tmp_path / "transcriptions")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(command: str) -> Result:
    return CliRunner().invoke(main, shlex.split(command))


@pytest.mark.parametrize("case", cases_in(HERE / "cases", "$", "!", "="), ids=str)
def test_case(case: Case, folder: Path) -> None:
    (command,) = (line.removeprefix("tabtools ") for line in case.said["$"])
    result = run(command)
    assert result.stdout.strip("\n") == case.text.strip("\n")
    assert result.stderr.strip("\n") == "\n".join(case.said["!"])
    assert [str(result.exit_code)] == case.said["="]
    assert max(map(len, result.stdout.split("\n"))) <= WIDTH
    assert run(command).stdout == result.stdout, "from the index"


def test_json_has_every_place(folder: Path) -> None:
    found = json.loads(run("find --degrees 'b7 1>2' --chord m7b5 --format json").stdout)
    assert found == [
        {
            "path": "transcriptions/low-tide.solo",
            "slug": "low-tide",
            "title": "Low Tide",
            "range": "2.2.1-2.2.2",
            "tab": "1:10 1:12b14",
            "chords": ["Em7b5"],
        },
    ]
    assert json.loads(run("find --technique trill --format json").stdout) == []


def test_json_of_an_example_says_how_far_each_place_lies_from_it(folder: Path) -> None:
    found = json.loads(run("find --like harbour-light 1.1-1.2 --format json").stdout)
    assert [(one["slug"], one["range"], one["semitones"], one["octaves_changed"]) for one in found] == [
        ("harbour-light", "4.1.1-4.2.2", 0, False),
        ("low-tide", "1.1.1-1.2.2", 5, False),
    ]


def test_json_of_shared_figures(folder: Path) -> None:
    (figure,) = json.loads(run("find --shared --format json").stdout)
    assert figure["notes"] == 7
    assert figure["steps"] == [3, 2, 3, -3, -9, 5]
    assert [f"{place['slug']} {place['range']}" for place in figure["places"]] == [
        "low-tide 4.1.1-4.4.2",
        "slack-water 1.1.1-2.1.2",
    ]


def test_the_folder_of_the_solos_has_to_be_there(folder: Path) -> None:
    shutil.rmtree(folder / "transcriptions")
    result = run("find --intervals 2")
    assert result.exit_code == 2
    assert "there is no folder transcriptions here" in result.stderr


def test_paths_narrow_the_search_and_the_index_forgets_nothing(folder: Path) -> None:
    run("find --intervals 2")
    kept = (folder / ".tabtools" / "search").read_bytes()
    assert "of 1 solo" in run("find --intervals 2 transcriptions/low-tide.solo").stdout
    assert (folder / ".tabtools" / "search").read_bytes() == kept


def test_a_solo_that_was_edited_is_found_anew(folder: Path) -> None:
    assert run("find --technique trill").exit_code == 1
    path = folder / "transcriptions" / "low-tide.solo"
    path.write_text(path.read_text(encoding="utf-8").replace("1:5~", "1:5[trill 7]"), encoding="utf-8")
    assert "  1.3.1  1:5  (Dm7)" in run("find --technique trill").stdout


def test_what_cannot_be_read_is_said_and_the_rest_is_searched(folder: Path) -> None:
    (folder / "transcriptions" / "broken.solo").write_text(
        "title: X\n\nbar 1\n1 3:5 ?!\n\nbar 2\n1-4 1:5 1:5\n\nbar 3\n1-4 1:5 1:7\n", encoding="utf-8"
    )
    (folder / "transcriptions" / "foreign.solo").write_bytes(b"\xff\xfeX")
    result = run("find --intervals 2")
    assert result.exit_code == 0
    assert result.stderr == (
        "tabtools: transcriptions/foreign.solo: the file is in UTF-16; save it as UTF-8\n"
        "tabtools: transcriptions/broken.solo:4: this line cannot be read and is left out; run tabtools lint\n"
    )
    assert "broken  X\n  3.1.1-3.1.2  1:5 1:7" in result.stdout


def test_a_few_damaged_solos_are_named_the_others_are_counted(folder: Path) -> None:
    for number in range(5):
        (folder / "transcriptions" / f"broken-{number}.solo").write_text(
            "title: X\n\nbar 1\n1 ?!\n2 ?!\n3 3:5\n\nbar 2\n1-4 1:5 1:7\n", encoding="utf-8"
        )
    assert run("find --intervals 2").stderr.splitlines() == [
        *(
            f"tabtools: transcriptions/broken-{number}.solo:4: 2 lines from here on cannot be read and are left out; "
            "run tabtools lint"
            for number in range(3)
        ),
        "tabtools: lines of 2 more solos cannot be read and are left out; run tabtools lint",
    ]


def test_a_count_that_stands_twice_in_one_solo_keeps_nothing_from_the_others(folder: Path) -> None:
    before = run("find --intervals 2 --all").stdout.splitlines()
    (folder / "transcriptions" / "twice.solo").write_text(
        "title: X\nmeter: 4/4\n\nbar 1\n1 .\n2  1:5 - 2:8\n2  - - 3:7\n4 .\n", encoding="utf-8"
    )
    result = run("find --intervals 2 --all")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.splitlines()[:-1] == before[:-1]
    assert "twice  X\n  1.2.1-1.2.2  1:5 2:8" in run("find --intervals -2").stdout


def test_a_short_report_leaves_out_and_says_so(folder: Path) -> None:
    notes = " ".join(["3:5 3:7"] * 8)
    for number in range(25):
        (folder / "transcriptions" / f"more-{number:02}.solo").write_text(
            f"title: {number}\nmeter: 4/4\n\nbar 1\n1-4 {notes}\n"
        )
    short, full = run("find --intervals 2").stdout, run("find --intervals 2 --all").stdout
    assert "… and 3 more places in this solo" in short
    assert "… and 8 more solos; --all shows everything" in short
    assert "…" not in full
    assert "more-24" in full
    assert short.split("\n")[-2:] == full.split("\n")[-2:]


def test_other_commands_do_not_wait_for_searching_to_load() -> None:
    program = "import sys, tabtools.cli; print([name for name in sys.modules if name.startswith('tabtools.search')])"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
