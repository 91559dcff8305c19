"""tabtools lint: what it prints, what it returns, what settings change."""

from __future__ import annotations

import json
from pathlib import Path
from types import ModuleType

import pytest
from invoked import LOOSE, SHORT_BAR, SOUND, tabtools, write

from tabtools.checks import ALL_CHECKS
from tabtools.problem import Severity

KEYS = ["path", "line", "column", "end_line", "end_column", "address", "check", "severity", "message", "advice"]
MISSING = "bar 1: count 4 of 4/4 is missing"


def found(*arguments: str | Path, text: str | None = None) -> list[dict]:
    return json.loads(tabtools("lint", "--format", "json", *arguments, text=text).out)


def test_a_sound_solo(folder: Path) -> None:
    write(folder, dusk=SOUND)
    assert tabtools("lint", "dusk.solo") == (0, "1 solo checked, nothing found\n", "")


def test_a_finding_has_its_place_its_line_and_advice(folder: Path) -> None:
    write(folder, dusk=SHORT_BAR)
    assert tabtools("lint", "dusk.solo") == (
        1,
        "dusk.solo:6:1: error: bar 1: count 4 of 4/4 is missing [bar-duration]\n"
        "    6 | bar 1  Am\n"
        "      | ^^^^^^^^^\n"
        "        write what is played there, - if a note is held, . for a rest\n"
        "\n"
        "1 error in 1 of 1 solo\n",
        "",
    )


def test_an_error_of_syntax_points_at_the_word(folder: Path) -> None:
    write(folder, dusk=SOUND.replace("3:5", "35"))
    assert tabtools("lint", "dusk.solo").out == (
        "dusk.solo:7:10: error: “35” names no string [syntax]\n"
        "    7 | 1    3:7 35\n"
        "      |          ^^\n"
        "        write string and fret, like 3:5\n"
        "\n"
        "1 error in 1 of 1 solo\n"
    )


def test_the_record_of_a_finding_in_json(folder: Path) -> None:
    write(folder, dusk=SHORT_BAR)
    (record,) = found("dusk.solo")
    assert list(record) == KEYS
    assert record == {
        "path": "dusk.solo",
        "line": 6,
        "column": 1,
        "end_line": 6,
        "end_column": 10,
        "address": "1",
        "check": "bar-duration",
        "severity": "error",
        "message": MISSING,
        "advice": "write what is played there, - if a note is held, . for a rest",
    }


def test_json_of_nothing_found_is_an_empty_list(folder: Path) -> None:
    write(folder, dusk=SOUND)
    assert tabtools("lint", "--format", "json", "dusk.solo") == (0, "[]\n", "")


def test_columns_count_characters(folder: Path) -> None:
    write(folder, dusk=SOUND.replace("1    3:7 3:5", "1    3:7 3:5  # é🎸").replace("Low Tide", "Ébb 🎸"))
    write(folder, dusk=SOUND.replace("Am", "C°7  # é🎸").replace("2-4", "2-9"))
    (record,) = found("dusk.solo", "--select", "bar-duration")
    assert (record["line"], record["column"]) == (8, 1)
    (record,) = found("-", text=SOUND.replace("title:        Low Tide", "title: é🎸 \u0007"))
    assert (record["line"], record["column"], record["check"]) == (1, 11, "unreadable-file")


def test_warnings_pass_unless_strict(folder: Path) -> None:
    write(folder, dusk=SOUND.replace("player:       the Slipway Trio\n", ""))
    status, out, _ = tabtools("lint", "dusk.solo")
    assert status == 0
    assert "warning: the solo names neither player nor recording [source-missing]" in out
    assert out.endswith("1 warning in 1 of 1 solo\n")
    assert tabtools("lint", "--strict", "dusk.solo").status == 1


def test_notes_pass_even_if_strict(folder: Path) -> None:
    write(folder, dusk=SOUND.replace("3:5", "3:5?"))
    status, out, _ = tabtools("lint", "--strict", "dusk.solo")
    assert status == 0
    assert out.endswith("1 remark in 1 of 1 solo\n")


def test_select_and_ignore(folder: Path) -> None:
    write(folder, dusk=SHORT_BAR.replace("title:        Low Tide\n", ""))
    everything = {record["check"] for record in found("dusk.solo")}
    assert everything == {"title-missing", "bar-duration"}
    assert {record["check"] for record in found("dusk.solo", "--select", "bar-duration")} == {"bar-duration"}
    assert {record["check"] for record in found("dusk.solo", "--ignore", "bar-duration")} == {"title-missing"}
    assert found("dusk.solo", "--ignore", "bar-duration", "--ignore", "title-missing") == []


def test_what_cannot_be_read_is_reported_whatever_is_selected(folder: Path) -> None:
    write(folder, dusk=SOUND.replace("3:5", "35"))
    assert [record["check"] for record in found("dusk.solo", "--select", "tuning")] == ["syntax"]


@pytest.mark.parametrize("option", ["--select", "--ignore"])
def test_an_unknown_check(folder: Path, option: str) -> None:
    write(folder, dusk=SOUND)
    assert tabtools("lint", option, "bar-durations", "dusk.solo") == (
        2,
        "",
        "tabtools: there is no check “bar-durations”; did you mean bar-duration?\n",
    )


def test_standard_input(folder: Path) -> None:
    status, out, _ = tabtools("lint", "-", text=SHORT_BAR)
    assert status == 1
    assert out.startswith("stdin.solo:6:1: error: ")
    assert found("-", "--stdin-name", "solos/dusk.solo", text=SHORT_BAR)[0]["path"] == "solos/dusk.solo"
    assert tabtools("lint", "-", text=SOUND) == (0, "1 solo checked, nothing found\n", "")


def test_the_folder_of_the_solos_is_the_default(folder: Path) -> None:
    write(folder / "transcriptions", dusk=SHORT_BAR, dawn=SOUND)
    status, out, _ = tabtools("lint")
    assert status == 1
    assert out.startswith("transcriptions/dusk.solo:6:1: error: ")
    assert out.endswith("1 error in 1 of 2 solos\n")


def test_folders_are_searched_to_the_bottom_but_not_where_a_dot_hides_them(folder: Path) -> None:
    write(folder / "a" / "deep", dusk=SHORT_BAR)
    write(folder / "a" / ".hidden", dawn=SHORT_BAR)
    write(folder / "a", noon=SHORT_BAR)
    (folder / "a" / "notes.txt").write_text("no solo")
    assert [record["path"] for record in found("a")] == ["a/deep/dusk.solo", "a/noon.solo"]


def test_a_file_named_twice_is_checked_once(folder: Path) -> None:
    write(folder, dusk=SHORT_BAR)
    assert len(found("dusk.solo", "dusk.solo", ".")) == 1


def test_without_a_folder_of_solos(folder: Path) -> None:
    assert tabtools("lint") == (
        2,
        "",
        "tabtools: there is no folder transcriptions here; name a file or folder, or run tabtools init\n",
    )


def test_a_path_that_is_not_there(folder: Path) -> None:
    assert tabtools("lint", "dusk.solo") == (2, "", "tabtools: dusk.solo is not there\n")


def test_one_file_hides_nothing_of_the_others(folder: Path) -> None:
    write(folder, dawn=SHORT_BAR, dusk="bar 1\n1    37\n", noon=SHORT_BAR)
    (folder / "binary.solo").write_bytes(b"\x89PNG\r\n\x1a\n\0\0")
    paths = [record["path"] for record in found(".", "--ignore", "slug-clash")]
    assert sorted(set(paths)) == ["binary.solo", "dawn.solo", "dusk.solo", "noon.solo"]


def test_one_of_many_files_hides_nothing_of_the_others(folder: Path) -> None:
    """So many that they are checked by several processes."""
    write(folder / "many", **{f"solo{number}": SOUND for number in range(45)}, bad=SHORT_BAR)
    (folder / "many" / "binary.solo").write_bytes(b"title: \xff\n")
    records = found("many")
    assert [(record["path"], record["line"], record["column"]) for record in records] == [
        ("many/bad.solo", 6, 1),
        ("many/binary.solo", 1, 8),
    ]


# ---- settings ------------------------------------------------------------------------------------------------


def settings(folder: Path, table: str) -> None:
    (folder / "pyproject.toml").write_text(f"[tool.tabtools]\n{table}\n", encoding="utf-8")


def test_settings_name_the_folder_the_checks_and_strictness(folder: Path) -> None:
    write(folder / "solos", dusk=SHORT_BAR.replace("player:       the Slipway Trio\n", ""))
    settings(folder, 'transcriptions = "solos"')
    assert {record["check"] for record in found()} == {"bar-duration", "source-missing"}
    settings(folder, 'transcriptions = "solos"\nignore = ["bar-duration"]')
    assert {record["check"] for record in found()} == {"source-missing"}
    assert tabtools("lint").status == 0
    settings(folder, 'transcriptions = "solos"\nselect = ["source-missing"]\nstrict = true')
    assert tabtools("lint").status == 1
    assert {record["check"] for record in found("--select", "bar-duration")} == {"bar-duration"}


def test_settings_hold_in_the_folders_below(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(folder / "solos", dusk=SOUND)
    settings(folder, 'transcriptions = "solos"')
    monkeypatch.chdir(folder / "solos")
    assert tabtools("lint").out == "1 solo checked, nothing found\n"


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ("ignores = []", "tool.tabtools has no key “ignores”; did you mean ignore?"),
        (
            'ignore = ["bar-duratoin"]',
            "tool.tabtools.ignore is to be a list of check names; “bar-duratoin” is none, did you mean bar-duration?",
        ),
        ('select = ["xyz"]', "tool.tabtools.select is to be a list of check names; “xyz” is none; see tabtools checks"),
        ('ignore = "bar-duration"', "tool.tabtools.ignore is to be a list of check names"),
        ("select = [1]", "tool.tabtools.select is to be a list of check names"),
        ('strict = "yes"', "tool.tabtools.strict is to be true or false"),
        ('style = "jazz"', "tool.tabtools.style is to be plain or extended"),
        ("style = []", "tool.tabtools.style is to be plain or extended"),
        ('hand = "huge"', "tool.tabtools.hand is to be small or medium or large"),
        (
            "pick-rate = 14",
            "tool.tabtools.pick-rate is to be two numbers: from where on there is a warning, and an error",
        ),
        (
            "bend-force = [40, 20]",
            "tool.tabtools.bend-force is to be two numbers above 0, the second not below the first and at most 1000",
        ),
        ('transcriptions = "/etc"', "tool.tabtools.transcriptions is to be a folder within the repository"),
        ('transcriptions = "../solos"', "tool.tabtools.transcriptions is to be a folder within the repository"),
        ("transcriptions = 3", "tool.tabtools.transcriptions is to be a folder within the repository"),
        (f'transcriptions = "{"x" * 300}"', "tool.tabtools.transcriptions is to be a folder within the repository"),
        (f'transcriptions = "{"x/" * 3000}"', "tool.tabtools.transcriptions is to be a folder within the repository"),
        (r'transcriptions = "a\u0000b"', "tool.tabtools.transcriptions is to be a folder within the repository"),
        (
            f'select = ["{"x" * 5000}"]',
            f"tool.tabtools.select is to be a list of check names; “{'x' * 59}…” is none; see tabtools checks",
        ),
    ],
)
def test_settings_that_cannot_be(folder: Path, table: str, message: str) -> None:
    write(folder, dusk=SOUND)
    settings(folder, table)
    assert tabtools("lint", "dusk.solo") == (2, "", f"tabtools: pyproject.toml: {message}\n")


@pytest.mark.parametrize("limits", ["[5, 5]", "[1e-320, 1e-320]", "[1e-320, 1000]", "[1000, 1000]"])
def test_limits_without_room_for_warnings(folder: Path, limits: str) -> None:
    """From one figure on there is an error, and nothing below it."""
    write(folder, dusk=SOUND.replace("3:7 3:5", "3:7b9 3:5b7+2:1"))
    names = ("pick-rate", "legato-rate", "tremolo-rate", "bend-force", "lone-bend-force")
    settings(folder, "".join(f"{name} = {limits}\n" for name in names))
    assert tabtools("lint", "dusk.solo").status in (0, 1)
    assert tabtools("annotate", "dusk.solo", "--hands").status == 0


def test_settings_describe_the_player(folder: Path) -> None:
    fast = "bar 1  Am\n" + "".join(f"{count} {'3:7 2:7 ' * 2}\n" for count in range(1, 5))
    text = SOUND.partition("bar 1")[0].replace("meter:", "tempo: 150\nmeter:") + fast
    (folder / "fast.solo").write_text(text, encoding="utf-8")
    settings(folder, 'select = ["pick-rate"]')
    assert tabtools("lint", "fast.solo").status == 0
    settings(folder, 'select = ["pick-rate"]\npick-rate = [5, 8]')
    status, out, _ = tabtools("lint", "fast.solo")
    assert status == 1
    assert "pick-rate" in out


def test_settings_that_look_like_none_of_the_keys(folder: Path) -> None:
    settings(folder, "colour = 1")
    _, _, err = tabtools("lint")
    expected = (
        "tabtools: pyproject.toml: tool.tabtools has no key “colour”; the keys are: transcriptions, select, ignore, "
    )
    assert err.startswith(expected)


@pytest.mark.parametrize(
    "text",
    [
        "[tool.tabtools",
        "tool = 3\n",
        "[tool]\ntabtools = 3\n",
        "\xff",
        pytest.param("x = " + "[" * 5000, id="deep"),
        pytest.param("x = " + "9" * 5000, id="long"),
    ],
)
def test_settings_that_cannot_be_read(folder: Path, text: str) -> None:
    write(folder, dusk=SOUND)
    (folder / "pyproject.toml").write_bytes(text.encode("latin-1"))
    status, out, err = tabtools("lint", "dusk.solo")
    assert (status, out) == (2, "")
    assert err.startswith("tabtools: pyproject.toml")
    assert len(err.splitlines()) == 1


def test_settings_of_other_tools_are_none_of_ours(folder: Path) -> None:
    write(folder, dusk=SOUND)
    (folder / "pyproject.toml").write_text('[tool.other]\nx = 1\n[project]\nname = "x"\n')
    assert tabtools("lint", "dusk.solo").status == 0


# ---- permissions ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        SHORT_BAR.replace("bar 1  Am", "bar 1  Am  # allow bar-duration: the tape was cut here"),
        SHORT_BAR.replace("bar 1  Am", "# allow bar-duration: the tape was cut here\nbar 1  Am"),
        SHORT_BAR.replace("title:        Low Tide", "title:        Low Tide  # allow bar-duration: cut everywhere"),
    ],
    ids=["on the bar's line", "above the bar", "in the header"],
)
def test_a_permission_silences_a_check(folder: Path, text: str) -> None:
    write(folder, dusk=text)
    assert found("dusk.solo") == []


@pytest.mark.parametrize(
    ("comment", "check", "message"),
    [
        ("# allow bar-duration", "permission", "the permission for bar-duration gives no reason"),
        ("# allow bar-duration:", "permission", "the permission for bar-duration gives no reason"),
        ("# allow bar-durations: why", "permission", "there is no check “bar-durations”"),
        ("# allow syntax: why", "permission", "syntax cannot be silenced"),
        ("# allow tuning: why", "unused-permission", "this permission silences nothing: tuning finds nothing here"),
    ],
)
def test_a_permission_that_silences_nothing_is_reported(folder: Path, comment: str, check: str, message: str) -> None:
    write(folder, dusk=SHORT_BAR.replace("bar 1  Am", f"bar 1  Am  {comment}"))
    records = [(record["check"], record["message"]) for record in found("dusk.solo")]
    assert sorted(records) == sorted([("bar-duration", MISSING), (check, message)])


# ---- the pages of the checks -----------------------------------------------------------------------------------


@pytest.mark.parametrize("check", ALL_CHECKS, ids=lambda check: check.NAME)
def test_every_check_is_explained(folder: Path, check: ModuleType) -> None:
    """What a check only remarks on does not fail."""
    status, out, _ = tabtools("explain", check.NAME)
    is_remark = check.SEVERITY is Severity.NOTE
    good, bad = ("Nothing is said here", "A remark is made here") if is_remark else ("Passes", "Fails")
    assert status == 0
    assert out.startswith(f"{check.NAME} ({'remark' if is_remark else check.SEVERITY})")
    assert f"\n{good}" in out and f"\n{bad}" in out
    assert is_remark is ("Fails" not in out)
    assert all(len(line) <= 80 for line in out.splitlines() if not line.startswith("    "))


def test_explaining_an_unknown_check(folder: Path) -> None:
    assert tabtools("explain", "bar-duratio").err.startswith(
        "tabtools: there is no check “bar-duratio”; did you mean bar-duration?"
    )
    assert tabtools("explain", "xyz") == (2, "", "tabtools: there is no check “xyz”; see tabtools checks\n")


def test_the_checks_are_listed(folder: Path) -> None:
    status, out, _ = tabtools("checks")
    assert status == 0
    assert [line.split()[:2] for line in out.splitlines() if line[0] != " "] == [
        [check.NAME, str(check.SEVERITY.word)] for check in ALL_CHECKS
    ]
    assert all(len(line) <= 80 for line in out.splitlines())


def test_a_loose_layout_is_no_finding(folder: Path) -> None:
    write(folder, dusk=LOOSE)
    assert found("dusk.solo") == []


# ---- lessons


@pytest.mark.parametrize("named", [["dusk.md"], ["dusk.solo", "dusk.md"]])
def test_a_lesson_named_is_checked_with_its_solo(folder: Path, named: list[str]) -> None:
    write(folder, dusk=SHORT_BAR)
    (folder / "dusk.md").write_text("The first bar is short.\n", encoding="utf-8")
    assert tabtools("lint", *named) == tabtools("lint", "dusk.solo")


@pytest.mark.parametrize("command", ["lint", "format", "blame", "annotate"])
def test_a_lesson_without_a_solo_is_none(folder: Path, command: str) -> None:
    (folder / "notes.md").write_text("Words.\n", encoding="utf-8")
    assert tabtools(command, "notes.md") == (
        2,
        "",
        "tabtools: notes.md is no solo, and no notes.solo stands beside it; name a solo\n",
    )
