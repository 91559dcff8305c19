"""Standard streams that are closed, full, gone or of another encoding: a word and an honest status, no traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from time import sleep

import pytest
from invoked import LOOSE, SHORT_BAR, SOUND, tabtools, write
from small_disks import with_small_disk

from tabtools.cli.commands import MODULES

ROOT = Path(__file__).parents[2]
TABTOOLS = f"'{sys.executable}' -W error -P -m tabtools"
WRITERS = {
    "text": "lint dawn.solo",
    "long text": "annotate --phrases dawn.solo",
    "standard input": "format - < dawn.solo",
    "bytes": "export dawn.solo --to musicxml",
    "bytes for git": "git textconv dawn.solo",
    "help": "--help",
    "help of a command": "lint --help",
}


def shell(command: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """A line of shell in a folder, `tabtools` in it being ours."""
    return run(["sh", "-c", command.replace("tabtools", TABTOOLS, 1)], folder, **environment)


def with_full_disk(command: str, folder: Path) -> subprocess.CompletedProcess[bytes]:
    """The same, where nothing has room any more in the folder `disk`."""
    (folder / "disk").mkdir(exist_ok=True)
    filled = f"head --bytes 65536 /dev/zero > disk/filling; {command.replace('tabtools', TABTOOLS, 1)}"
    return run(with_small_disk(folder / "disk", 64, filled), folder)


def run(command: list[str | bytes], folder: Path, **environment: str) -> subprocess.CompletedProcess[bytes]:
    given = os.environ | {"PYTHONPATH": str(ROOT)} | environment
    return subprocess.run(command, cwd=folder, env=given, capture_output=True, timeout=120, check=False)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write(tmp_path, dawn=SOUND, dusk=SHORT_BAR, loose=LOOSE)
    return tmp_path


@pytest.mark.parametrize("command", WRITERS.values(), ids=WRITERS)
def test_a_full_disk_behind_standard_output(folder: Path, command: str) -> None:
    done = with_full_disk(f"tabtools {command} > disk/out", folder)
    said = b"tabtools: standard output cannot be written: no space left on device\n"
    assert (done.returncode, done.stderr[-len(said) :]) == (2, said)


@pytest.mark.parametrize("command", WRITERS.values(), ids=WRITERS)
def test_a_standard_output_that_is_closed(folder: Path, command: str) -> None:
    done = shell(f"tabtools {command} >&-", folder)
    said = b"tabtools: standard output cannot be written: it is closed\n"
    assert (done.returncode, done.stderr[-len(said) :]) == (2, said)


@pytest.mark.parametrize("command", WRITERS.values(), ids=WRITERS)
def test_a_reader_that_is_gone(folder: Path, command: str) -> None:
    """Nothing is said, and the status is what shells have for a program that writes to nobody."""
    (folder / "gone").mkdir()
    os.mkfifo(folder / "pipe")
    done = shell(f"sleep 0 < pipe & exec 3> pipe; wait; tabtools {command} >&3", folder)
    assert (done.returncode, done.stderr) == (141, b"")


def test_a_reader_that_does_not_keep_up(folder: Path) -> None:
    """Who started us may have made the pipe such that writing to it does not wait."""
    ours, theirs = os.pipe()
    os.set_blocking(theirs, False)
    filled = 0
    with suppress(BlockingIOError):
        while True:
            filled += os.write(theirs, b"x" * 1024)
    command = [sys.executable, "-W", "error", "-P", "-m", "tabtools", "git", "textconv", "dawn.solo"]
    with subprocess.Popen(command, cwd=folder, env=os.environ | {"PYTHONPATH": str(ROOT)}, stdout=theirs) as process:
        os.close(theirs)
        sleep(1)
        with os.fdopen(ours, encoding="utf-8") as pipe:
            assert pipe.read() == "x" * filled + SOUND
    assert process.returncode == 0


@pytest.mark.parametrize("closed", ["2>&-", "2>&- <&-"])
def test_a_standard_error_that_is_closed_changes_no_status(folder: Path, closed: str) -> None:
    assert shell(f"tabtools lint dawn.solo {closed}", folder).returncode == 0
    assert shell(f"tabtools lint dusk.solo {closed}", folder).returncode == 1
    assert shell(f"tabtools lint noon.solo {closed}", folder).returncode == 2
    assert shell(f"tabtools format noon.solo {closed}", folder).returncode == 2


def test_a_full_disk_behind_standard_error_changes_no_status(folder: Path) -> None:
    assert with_full_disk("tabtools lint noon.solo 2> disk/err", folder).returncode == 2
    done = with_full_disk("tabtools format loose.solo 2> disk/err", folder)
    assert (done.returncode, done.stdout.splitlines()[0]) == (0, b"loose.solo: formatted")


@pytest.mark.parametrize("command", ["lint -", "apply - --yes", "export - --to text"])
def test_a_standard_input_that_is_closed(folder: Path, command: str) -> None:
    shell("git init --quiet && git add . && git -c user.name=a -c user.email=a@b.example commit -qm a", folder)
    done = shell(f"tabtools {command} <&-", folder)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr == b"tabtools: standard input cannot be read: it is closed\n"


@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", ">&- 2>&-", "<&- >&- 2>&-"])
def test_no_file_of_ours_takes_the_place_of_a_stream(folder: Path, closed: str) -> None:
    """What is said goes to whatever has the number of the stream: that must not be a file that is being written."""
    shell(f"tabtools export dawn.solo --to text -o dawn.txt {closed}", folder)
    whole = tabtools("export", folder / "dawn.solo", "--to", "text").out
    assert (folder / "dawn.txt").read_text(encoding="utf-8") == whole != ""
    shell(f"tabtools format loose.solo {closed}", folder)
    assert (folder / "loose.solo").read_text(encoding="utf-8") == SOUND


def test_a_new_solo_with_nobody_to_ask(folder: Path) -> None:
    done = shell("tabtools new --title Tide --rights CC0-1.0 <&-", folder)
    assert (done.returncode, done.stderr) == (0, b"")


UNUSUAL = {
    "C": {"LC_ALL": "C"},
    "no such locale": {"LC_ALL": "tlh_KX.UTF-9"},
    "ascii": {"PYTHONIOENCODING": "ascii:strict"},
    "UTF-16": {"PYTHONIOENCODING": "utf-16"},
}
WORDS = ("tabtools --help", "tabtools lint ébb.solo", "tabtools explain “”", "tabtools lint --ébb")


def said(folder: Path, **environment: str) -> list[tuple[int, bytes, bytes]]:
    found = [shell(command, folder, **environment) for command in WORDS]
    return [(done.returncode, done.stdout, done.stderr) for done in found]


def test_any_encoding_gets_the_same_words(folder: Path) -> None:
    write(folder, ébb=SHORT_BAR.replace("Low Tide", "Ébb 🎸"))
    usual = said(folder, LC_ALL="C.UTF-8")
    assert [status for status, _, _ in usual] == [0, 1, 2, 2]
    for name, environment in UNUSUAL.items():
        assert said(folder, **environment) == usual, name


def test_where_names_are_no_text_either_nothing_breaks_off(folder: Path) -> None:
    write(folder, ébb=SHORT_BAR)
    found = said(folder, LC_ALL="C", PYTHONUTF8="0", PYTHONCOERCECLOCALE="0", PYTHONIOENCODING="ascii:strict")
    assert [status for status, _, _ in found] == [0, 1, 2, 2]
    assert not any(b"Traceback" in err for _, _, err in found)


@pytest.mark.parametrize("command", sorted({*MODULES, "new --title", "find --degrees"} - {"init"}))
def test_a_word_that_is_no_text(folder: Path, command: str) -> None:
    """It is answered, and no file is made of it; a folder may be called so."""
    before = sorted(folder.iterdir())
    done = run([sys.executable, "-W", "error", "-P", "-m", "tabtools", *command.split(), b"\xff"], folder)
    assert done.returncode in (1, 2), done.stderr
    assert b"Traceback" not in done.stderr
    assert sorted(folder.iterdir()) == before


@pytest.mark.parametrize("command", sorted(set(MODULES) - {"git"}))
def test_a_folder_that_was_deleted(folder: Path, monkeypatch: pytest.MonkeyPatch, command: str) -> None:
    (folder / "gone").mkdir()
    monkeypatch.chdir(folder / "gone")
    (folder / "gone").rmdir()
    gone = "tabtools: the folder you are in is gone; change to one that is there\n"
    assert tabtools(command, "--help") == (2, "", gone)
