"""What commands write to files: they replace nothing unasked, nothing but plain files, and all say so alike."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest
from git_repositories import BETTER, DUSK, ENVIRONMENT, new_repository
from invoked import SOUND, tabtools

COMMANDS = {
    "export text": (("export", "low-tide.solo", "--to", "text", "--output"), "out.txt"),
    "export midi": (("export", "low-tide.solo", "--to", "midi", "--output"), "out.mid"),
    "export musicxml": (("export", "low-tide.solo", "--to", "musicxml", "--output"), "out.mxl"),
    "diff": (("diff", "HEAD~1..HEAD", "--to"), "out.html"),
    "review": (("review", "HEAD~1..HEAD", "--to"), "out.md"),
    "new": (("new", "--title", "Out", "--rights", "CC0-1.0", "--to"), "out.solo"),
    "init": (("init",), "pyproject.toml"),
}
REPORTS = [name for name in COMMANDS if name not in ("new", "init")]
FINE = {"diff": 3}
"""Exit statuses of commands that did what was asked, where that is not 0."""


@pytest.fixture(params=COMMANDS)
def command(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A command, to be run where there is something to write about."""
    if request.param in ("diff", "review"):
        new_repository(tmp_path, DUSK).commit(BETTER)
        for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
            monkeypatch.setenv(name, ENVIRONMENT[name])
    (tmp_path / "low-tide.solo").write_text(SOUND, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return request.param


def run(command: str, place: Path, *options: str) -> tuple[int, str]:
    """Have a command write its file to a place; its status and what it says of it."""
    arguments, _ = COMMANDS[command]
    where = place if command in REPORTS else place.parent
    result = tabtools(*arguments, where, *options)
    return result.status, result.err


def place_of(command: str) -> Path:
    """Where a command is told to write."""
    folder = Path("deeper")
    folder.mkdir()
    return folder / COMMANDS[command][1]


def test_a_new_file_in_a_new_folder(command: str) -> None:
    place = Path("deeper") / "still" / COMMANDS[command][1]
    assert run(command, place) == (FINE.get(command, 0), "")
    assert place.is_file()


def test_what_is_there_is_replaced_with_force_alone(command: str) -> None:
    place = place_of(command)
    place.write_text("mine", encoding="utf-8")
    place.chmod(0o640)
    assert run(command, place) == (2, f"tabtools: {place} is there already; add --force to replace it\n")
    assert place.read_text(encoding="utf-8") == "mine"
    assert run(command, place, "--force") == (FINE.get(command, 0), "")
    assert place.read_bytes() != b"mine"
    assert stat.S_IMODE(place.stat().st_mode) == 0o640
    assert [path for path in place.parent.iterdir() if path.name.startswith(".tabtools-")] == []


def test_through_a_link_the_file_behind_it_is_replaced(command: str) -> None:
    place = place_of(command)
    file = Path("behind")
    file.write_text("mine", encoding="utf-8")
    place.symlink_to("../behind")
    assert run(command, place) == (2, f"tabtools: {place} is there already; add --force to replace it\n")
    assert run(command, place, "--force") == (FINE.get(command, 0), "")
    assert place.is_symlink() and file.read_bytes() != b"mine"


def _link_to_nothing(place: Path) -> None:
    place.symlink_to("nowhere")


def _device(place: Path) -> None:
    if os.geteuid() != 0:
        pytest.skip("only root makes devices")
    os.mknod(place, 0o600 | stat.S_IFCHR, os.makedev(1, 3))


NO_FILES: dict[str, tuple[Callable[[Path], None], str]] = {
    "folder": (Path.mkdir, "a folder; name a file in it"),
    "pipe": (os.mkfifo, "a pipe; name a plain file"),
    "device": (_device, "a device; name a plain file"),
    "link to nothing": (_link_to_nothing, "a link to nothing; delete it, or name another file"),
}


@pytest.mark.parametrize("kind", NO_FILES)
@pytest.mark.parametrize("options", [(), ("--force",)], ids=["unasked", "force"])
def test_what_is_no_plain_file_is_never_replaced(command: str, kind: str, options: tuple[str, ...]) -> None:
    make, said = NO_FILES[kind]
    place = place_of(command)
    make(place)
    before = place.lstat()
    assert run(command, place, *options) == (2, f"tabtools: {place} is {said}\n")
    after = place.lstat()
    assert (after.st_ino, after.st_mode, after.st_rdev) == (before.st_ino, before.st_mode, before.st_rdev)
    assert list(place.parent.iterdir()) == [place]


@pytest.mark.parametrize("command", REPORTS, indirect=True)
def test_no_report_takes_the_place_of_a_solo(command: str) -> None:
    said = "tabtools: low-tide.solo is the name of a solo; name another file\n"
    assert run(command, Path("low-tide.solo"), "--force") == (2, said)
    assert Path("low-tide.solo").read_text(encoding="utf-8") == SOUND


@pytest.mark.parametrize("command", REPORTS, indirect=True)
def test_names_as_long_as_they_can_be(command: str) -> None:
    ending = Path(COMMANDS[command][1]).suffix
    for length in (245, 255):
        place = Path("x" * (length - len(ending)) + ending)
        assert run(command, place) == (FINE.get(command, 0), "")
        assert place.is_file()
    status, said = run(command, Path("x" * 253 + ending))
    assert (status, said.endswith("cannot be written: file name too long\n")) == (2, True)


def test_a_solo_with_as_long_a_name_as_can_be_is_formatted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for length in (245, 255):
        path = Path("x" * (length - 5) + ".solo")
        path.write_text(SOUND.replace("3:7 3:5", "3:7  3:5"), encoding="utf-8")
        assert tabtools("format", path).status == 0
        assert path.read_text(encoding="utf-8") == SOUND
