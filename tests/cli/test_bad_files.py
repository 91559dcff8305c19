"""Every command on every kind of bad file: a placed message, never a traceback, never a wait."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from invoked import SOUND, tabtools, tabtools_without_privileges, write
from thoroughness import share

COMMANDS = {
    "lint": ("lint",),
    "lint json": ("lint", "--format", "json"),
    "format": ("format",),
    "format diff": ("format", "--diff"),
    "annotate": ("annotate",),
    "annotate json": ("annotate", "--format", "json"),
    "show": ("show",),
}

NOTES = " ".join(["3:7"] * 10_000)
CONTENTS: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "1:1"),
    "blank": (b"\n \n\t\n", "1:1"),
    "header only": (b"title: A\nplayer: B\nrights: CC0-1.0\nmeter: 4/4\n", "4:11"),
    "comments only": (b"# to do\n# tomorrow\n", "1:1"),
    "binary": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "1:1"),
    "UTF-16": ("bar 1\n1-4  3:7\n".encode("utf-16"), "1:1"),
    "Latin-1": (SOUND.replace("Low", "L\xf4w").encode("latin-1"), "1:16"),
    "NUL": (SOUND.encode() + b"bar 2\0\n", "9:6"),
    "terminal escape": (SOUND.encode() + b"# \x1b[2J\n", "9:3"),
    "bidirectional": (SOUND.encode() + "# \u202eabc\n".encode(), "9:3"),
    "tabs": (SOUND.replace("1    3:7 3:5", "1\t3:7\t3:5").encode(), "7:2"),
    "spaces at line ends": (SOUND.replace("Am\n", "Am  \n").encode(), "6:10"),
    "byte-order mark": (b"\xef\xbb\xbf" + SOUND.encode(), "1:1"),
    "CRLF": (SOUND.replace("\n", "\r\n").encode(), "1:1"),
    "CR": (SOUND.replace("\n", "\r").encode(), "1:1"),
    "2 MB": (SOUND.encode() + b"# much\n" * 300_000, "1:1"),
    "deep nesting": (SOUND.replace("3:7 3:5", "(" * 500 + "3:7" + ")" * 500).encode(), "7:9"),
    "10,000 notes on a line": (SOUND.replace("3:7 3:5", NOTES).encode(), "7:2001"),
    "conflict markers": (SOUND.replace("bar 1  Am", "<<<<<<< HEAD\nbar 1  Am\n=======\n>>>>>>> x").encode(), "6:1"),
    "unknown field": (b"mood: blue\n" + SOUND.encode(), "1:1"),
    "duplicate field": (b"title: A\n" + SOUND.encode(), "2:1"),
    "prose": (b"Once upon a time\nthere was a solo.\n" * 300, "1:1"),
    "no newline at the end": (SOUND.encode()[:-1] + b"\nbar 2\n1-4  37", "10:6"),
    "one very long line": (b"x" * 1_000_000, "1:2001"),
    "huge numbers": (SOUND.encode() + b"bar 999999\n1-64 999:999.9999b999.9999\n", "9:1"),
}


@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
@pytest.mark.parametrize("content", [data for data, _ in CONTENTS.values()], ids=CONTENTS)
def test_no_command_fails_on_any_content(folder: Path, command: tuple[str, ...], content: bytes) -> None:
    path = folder / "dusk.solo"
    path.write_bytes(content)
    status, out, err = tabtools(*command, "dusk.solo")
    assert status in (0, 1, 2)
    assert out or err or command == ("format", "--diff")
    assert "\x1b" not in out + err
    assert "Traceback" not in err
    if command == ("format",) and status:
        assert path.read_bytes() == content


@pytest.mark.parametrize(("content", "place"), CONTENTS.values(), ids=CONTENTS)
def test_lint_says_where(folder: Path, content: bytes, place: str) -> None:
    (folder / "dusk.solo").write_bytes(content)
    records = json.loads(tabtools("lint", "--format", "json", "dusk.solo").out)
    places = [f"{record['line']}:{record['column']}" for record in records]
    assert place in places
    assert all(record["message"] and record["advice"] for record in records)


@pytest.mark.parametrize("content", [data for data, _ in CONTENTS.values()], ids=CONTENTS)
def test_reports_fit_a_terminal(folder: Path, content: bytes) -> None:
    """All but the line that begins a finding: other programs read it."""
    (folder / "dusk.solo").write_bytes(content)
    lines = tabtools("lint", "dusk.solo").out.splitlines()
    assert all(len(line) <= 80 for line in lines if not line.startswith("dusk.solo:"))


@settings(max_examples=share(60), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary(max_size=120) | st.text(max_size=120).map(lambda text: text.encode("utf-8", "surrogatepass")))
@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
def test_no_command_fails_on_any_bytes(folder: Path, command: tuple[str, ...], data: bytes) -> None:
    for text in (data, SOUND.encode() + data):
        status, out, err = tabtools(*command, "-", text=text)
        assert status in (0, 1, 2)
        assert "\x1b" not in out + err


# ---- files that are none ---------------------------------------------------------------------------------------


def reported(folder: Path) -> list[tuple[str, str, str]]:
    records = json.loads(tabtools("lint", "--format", "json", str(folder.relative_to(Path.cwd()))).out)
    return [(record["path"], record["message"], record["advice"]) for record in records]


def test_a_folder_named_like_a_solo(folder: Path) -> None:
    (folder / "solos" / "dusk.solo").mkdir(parents=True)
    (folder / "solos" / "dusk.solo" / "inside.solo").write_text(SOUND)
    assert reported(folder / "solos") == [
        ("solos/dusk.solo", "this is a folder", "a solo is a text file with the ending .solo")
    ]


def test_a_link_to_nothing(folder: Path) -> None:
    (folder / "solos").mkdir()
    (folder / "solos" / "dusk.solo").symlink_to("gone.solo")
    assert reported(folder / "solos") == [
        ("solos/dusk.solo", "the file is a link to nothing", "delete the link, or put the solo there")
    ]
    assert tabtools("lint", "solos/dusk.solo").status == 1


def test_a_link_to_itself(folder: Path) -> None:
    (folder / "solos").mkdir()
    (folder / "solos" / "dusk.solo").symlink_to("dusk.solo")
    ((path, message, _),) = reported(folder / "solos")
    assert path == "solos/dusk.solo"
    assert message.startswith("the file cannot be read: ")


def test_a_link_that_leads_out_of_its_folder(folder: Path) -> None:
    write(folder / "private", dusk=SOUND)
    write(folder / "solos", dawn=SOUND)
    (folder / "solos" / "dusk.solo").symlink_to(folder / "private" / "dusk.solo")
    (folder / "solos" / "deeper").symlink_to(folder / "private")
    assert reported(folder / "solos") == [
        ("solos/dusk.solo", "the file is a link that leads out of its folder", "put the solo itself here")
    ]


def test_a_link_within_its_folder(folder: Path) -> None:
    write(folder / "solos", dusk=SOUND)
    (folder / "solos" / "latest.solo").symlink_to("dusk.solo")
    assert [message for _, message, _ in reported(folder / "solos") if "link" in message] == []


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_named_pipe_is_not_waited_for(folder: Path) -> None:
    (folder / "solos").mkdir()
    os.mkfifo(folder / "solos" / "dusk.solo")
    assert reported(folder / "solos") == [
        ("solos/dusk.solo", "this is no file of text", "a solo is a text file with the ending .solo")
    ]


def test_a_file_that_may_not_be_read(folder: Path) -> None:
    (path,) = write(folder / "solos", dusk=SOUND)
    path.chmod(0)
    status, out, _ = tabtools_without_privileges(folder, "lint", "solos")
    assert status == 1
    assert out.startswith("solos/dusk.solo:1:1: error: the file cannot be read: permission denied [unreadable-file]\n")


def test_a_file_that_may_not_be_read_as_the_system_says_it(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(folder / "solos", dusk=SOUND)

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("tabtools.source.Path.open", refuse)
    assert reported(folder / "solos") == [
        ("solos/dusk.solo", "the file cannot be read: permission denied", "check its permissions")
    ]


def test_a_folder_that_may_not_be_looked_into(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder passed over in silence would hide its solos."""
    write(folder / "solos", dusk=SOUND)
    scan = os.scandir

    def refuse(path: str) -> object:
        if str(path).endswith("locked"):
            raise PermissionError(13, "Permission denied", str(path))
        return scan(path)

    (folder / "solos" / "locked").mkdir()
    monkeypatch.setattr(os, "scandir", refuse)
    assert tabtools("lint", "solos") == (
        2,
        "",
        "tabtools: the folder solos/locked cannot be read: permission denied\n",
    )


@pytest.mark.parametrize("name", [b"\x1b[2Jdusk.solo", b"a\nb.solo", b"caf\xe9.solo", "\u202eolos.solo".encode()])
def test_a_name_that_cannot_be_shown(folder: Path, name: bytes) -> None:
    (folder / "solos").mkdir()
    Path(os.fsdecode(os.fsencode(folder / "solos") + b"/" + name)).write_text(SOUND)
    for command in (("lint", "solos"), ("lint", "--format", "json", "solos"), ("format", "solos")):
        status, out, err = tabtools(*command)
        assert status in (1, 2)
        assert "the file's name has characters that cannot be shown" in out + err
        assert not {"\x1b", "\u202e"} & set(out + err)


@pytest.mark.parametrize("command", ["lint", "format", "annotate", "show"])
def test_paths_that_cannot_be(folder: Path, command: str) -> None:
    assert tabtools(command, "no-such-folder/dusk.solo").err == "tabtools: no-such-folder/dusk.solo is not there\n"
    status, _, err = tabtools(command, "x" * 5000)
    assert status == 2
    assert err.startswith("tabtools: ")
    (folder / "file.solo").write_text(SOUND)
    assert tabtools(command, "file.solo/dusk.solo").status == 2


def test_standard_input_without_end_is_cut_off(folder: Path) -> None:
    assert tabtools("lint", "-", text=b"y\n" * 2_000_000).out.startswith(
        "stdin.solo:1:1: error: the file has 1,048,577 bytes; the most is 1,048,576 (1 MiB) [unreadable-file]\n"
    )
