"""A few commands as processes of their own: exit statuses, pipes, terminals, other encodings."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from invoked import SHORT_BAR, SOUND, write

from tabtools import __version__

ROOT = Path(__file__).parents[2]
COMMAND = (sys.executable, "-W", "error", "-m", "tabtools")


def environment(**changes: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "TERM", "PYTHONIOENCODING")}
    return kept | {"PYTHONPATH": str(ROOT), "TERM": "xterm"} | changes


def run(*arguments: str, data: bytes = b"", **changes: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        (*COMMAND, *arguments), input=data, capture_output=True, env=environment(**changes), timeout=60, check=False
    )


def on_a_terminal(*arguments: str, typed: bytes = b"", **changes: str) -> tuple[int, str]:
    """The exit status and everything a terminal of its own shows."""
    pty = pytest.importorskip("pty")
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        (*COMMAND, *arguments), stdin=theirs, stdout=theirs, stderr=theirs, env=environment(**changes), close_fds=True
    ) as process:
        os.close(theirs)
        os.write(ours, typed)
        shown = b""
        while True:
            try:
                piece = os.read(ours, 4096)
            except OSError:
                break
            if not piece:
                break
            shown += piece
        status = process.wait(timeout=60)
    os.close(ours)
    return status, shown.decode("utf-8").replace("\r\n", "\n")


def test_the_version() -> None:
    result = run("--version")
    assert (result.returncode, result.stdout.decode()) == (0, f"tabtools, version {__version__}\n")


def test_exit_statuses(folder: Path) -> None:
    write(folder, dawn=SOUND, dusk=SHORT_BAR)
    assert run("lint", "dawn.solo").returncode == 0
    assert run("lint", "dusk.solo").returncode == 1
    assert run("lint", "noon.solo").returncode == 2
    assert run("lint", "--no-such-option").returncode == 2
    assert run("nonsense").returncode == 2


def test_findings_go_to_standard_output_and_what_stops_a_command_to_standard_error(folder: Path) -> None:
    write(folder, dusk=SHORT_BAR)
    found, stopped = run("lint", "dusk.solo"), run("lint", "noon.solo")
    assert found.stdout
    assert found.stderr == b""
    assert stopped.stdout == b""
    assert stopped.stderr == b"tabtools: noon.solo is not there\n"


def test_a_pipe_through_the_formatter(folder: Path) -> None:
    data = SOUND.replace("Low Tide", "Ébb 🎸").replace("3:7 3:5", "3:7   3:5").encode()
    result = run("format", "-", data=data)
    assert (result.returncode, result.stdout) == (0, data.replace(b"3:7   3:5", b"3:7 3:5"))


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "utf-8"])
def test_any_text_goes_through_any_pipe(folder: Path, encoding: str) -> None:
    write(folder, dusk=SHORT_BAR.replace("bar 1  Am", "bar 1  Am  # 漢🎸 é"))
    result = run("lint", "dusk.solo", PYTHONIOENCODING=encoding)
    assert result.returncode == 1
    assert "bar 1  Am  # 漢🎸 é" in result.stdout.decode("utf-8")


def test_a_reader_that_goes_away_is_no_fault(folder: Path) -> None:
    write(folder / "many", **{f"solo{number}": SHORT_BAR for number in range(30)})
    with subprocess.Popen(
        (*COMMAND, "lint", "many"), stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment()
    ) as process:
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == b""
        process.wait(timeout=60)


def test_colour_on_a_terminal_only(folder: Path) -> None:
    write(folder, dusk=SHORT_BAR)
    status, shown = on_a_terminal("lint", "dusk.solo")
    assert status == 1
    assert "\x1b[31m\x1b[1merror:\x1b[0m" in shown
    assert b"\x1b" not in run("lint", "dusk.solo").stdout


@pytest.mark.parametrize("changes", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_no_colour_where_none_is_wanted(folder: Path, changes: dict[str, str]) -> None:
    write(folder, dusk=SHORT_BAR)
    status, shown = on_a_terminal("lint", "dusk.solo", **changes)
    assert status == 1
    assert "\x1b" not in shown
    assert "error: bar 1: count 4 of 4/4 is missing [bar-duration]" in shown


def test_an_empty_no_color_asks_for_nothing(folder: Path) -> None:
    """As no-color.org has it: the variable counts when it is not empty."""
    write(folder, dusk=SHORT_BAR)
    assert "\x1b[" in on_a_terminal("lint", "dusk.solo", NO_COLOR="")[1]


def test_new_asks_on_a_terminal(folder: Path) -> None:
    answers = b"Low Tide\nIda Marlow\n\nA minor\n3/4\n\nCC0-1.0\n"
    status, shown = on_a_terminal("new", "--bars", "1", typed=answers)
    assert status == 0, shown
    assert "Title: " in shown
    assert "Meter [4/4]: " in shown
    assert "Publishing music needs the permission of those who own it" in shown
    assert shown.endswith("transcriptions/low-tide.solo: written, 1 bar to fill\n")
    assert (folder / "transcriptions" / "low-tide.solo").read_text(encoding="utf-8") == (
        "title:        Low Tide\n"
        "player:       Ida Marlow\n"
        "rights:       CC0-1.0\n"
        "tuning:       standard\n"
        "key:          A minor\n"
        "meter:        3/4\n"
        "\n"
        "bar 1\n"
        "1-3  ??\n"
    )


def test_new_asks_for_nothing_that_was_said(folder: Path) -> None:
    said = ("--title", "A", "--player", "B", "--recording", "C", "--rights", "CC0-1.0", "--key", "A minor")
    status, shown = on_a_terminal("new", *said, "--meter", "4/4", "--tuning", "standard")
    assert (status, shown) == (0, "transcriptions/a.solo: written, 8 bars to fill\n")
