"""tabtools format: what it writes, what it refuses, and that nothing is lost when writing fails."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from invoked import LOOSE, SOUND, tabtools, tabtools_without_privileges, write

from tabtools.notation import write as notation_write
from tabtools.source import SourceText

UNREADABLE = SOUND.replace("3:5", "35")


def test_a_loose_layout_becomes_canonical(folder: Path) -> None:
    (path,) = write(folder, dusk=LOOSE)
    assert tabtools("format", "dusk.solo") == (
        0,
        "dusk.solo: formatted\n1 changed, 0 already canonical, 0 not formatted\n",
        "",
    )
    assert path.read_text(encoding="utf-8") == SOUND
    assert tabtools("format", "dusk.solo").out == "0 changed, 1 already canonical, 0 not formatted\n"


def test_check_writes_nothing(folder: Path) -> None:
    dawn, dusk = write(folder, dawn=SOUND, dusk=LOOSE)
    assert tabtools("format", "--check", ".") == (
        1,
        "dusk.solo: would be formatted\n1 would change, 1 already canonical, 0 not formatted\n",
        "",
    )
    assert dusk.read_text(encoding="utf-8") == LOOSE
    assert tabtools("format", "--check", str(dawn)).status == 0


def test_diff_shows_what_would_change(folder: Path) -> None:
    (path,) = write(folder, dusk=LOOSE)
    assert tabtools("format", "--diff", "dusk.solo") == (
        1,
        "--- dusk.solo\n"
        "+++ dusk.solo (formatted)\n"
        "@@ -1,8 +1,8 @@\n"
        "-title: Low Tide\n"
        "+title:        Low Tide\n"
        " player:       the Slipway Trio\n"
        " rights:       CC0-1.0\n"
        " meter:        4/4\n"
        " \n"
        " bar 1  Am\n"
        "-1    3:7  3:5\n"
        "+1    3:7 3:5\n"
        " 2-4  2:5\n",
        "",
    )
    assert path.read_text(encoding="utf-8") == LOOSE


@pytest.mark.parametrize(
    "data", [SOUND.replace("\n", "\r\n").encode(), SOUND.replace("\n", "\r").encode(), b"\xef\xbb\xbf" + SOUND.encode()]
)
def test_line_ends_and_the_byte_order_mark_are_tidied(folder: Path, data: bytes) -> None:
    path = folder / "dusk.solo"
    path.write_bytes(data)
    assert tabtools("format", "--diff", "dusk.solo").out == (
        "dusk.solo: only the line ends or the byte-order mark would change\n"
    )
    assert tabtools("format", "--check", "dusk.solo").status == 1
    assert tabtools("format", "dusk.solo").status == 0
    assert path.read_bytes() == SOUND.encode()


def test_standard_input_goes_to_standard_output(folder: Path) -> None:
    assert tabtools("format", "-", text=LOOSE) == (0, SOUND, "")
    assert tabtools("format", "-", text=SOUND) == (0, SOUND, "")
    assert tabtools("format", "--check", "-", text=LOOSE).status == 1
    assert tabtools("format", "-", text=LOOSE.replace("Low Tide", "Ébb 🎸")).out == SOUND.replace("Low Tide", "Ébb 🎸")


def test_what_cannot_be_read_is_not_formatted(folder: Path) -> None:
    dawn, dusk = write(folder, dawn=UNREADABLE, dusk=LOOSE)
    status, out, err = tabtools("format", ".")
    assert status == 2
    assert out == "dusk.solo: formatted\n1 changed, 0 already canonical, 1 not formatted\n"
    assert err == "dawn.solo: not formatted: line 7 cannot be read; mend what tabtools lint reports, then format\n"
    assert dawn.read_text(encoding="utf-8") == UNREADABLE
    assert dusk.read_text(encoding="utf-8") == SOUND


def test_standard_input_that_cannot_be_read_gives_no_output(folder: Path) -> None:
    assert tabtools("format", "-", "--stdin-name", "dusk.solo", text=UNREADABLE) == (
        2,
        "",
        "dusk.solo: not formatted: line 7 cannot be read; mend what tabtools lint reports, then format\n",
    )


def test_what_is_no_text_is_not_formatted(folder: Path) -> None:
    (folder / "dusk.solo").write_bytes(b"title: \xff\n")
    status, out, err = tabtools("format", "dusk.solo")
    assert status == 2
    assert out == "0 changed, 0 already canonical, 1 not formatted\n"
    assert err == "dusk.solo: not formatted: byte 0xff is not UTF-8 text; save the file as UTF-8\n"
    assert (folder / "dusk.solo").read_bytes() == b"title: \xff\n"


def test_when_one_file_cannot_be_written_the_others_are(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    dawn, dusk = write(folder, dawn=LOOSE, dusk=LOOSE)
    put = Path.replace

    def fail(self: Path, target: Path) -> Path:
        if target.name == "dawn.solo":
            raise OSError(28, "No space left on device")
        return put(self, target)

    monkeypatch.setattr(Path, "replace", fail)
    status, out, err = tabtools("format", ".")
    assert status == 2
    assert err == "tabtools: dawn.solo cannot be written: no space left on device\n"
    assert out == "dusk.solo: formatted\n1 changed, 0 already canonical, 1 not formatted\n"
    assert dawn.read_text(encoding="utf-8") == LOOSE
    assert dusk.read_text(encoding="utf-8") == SOUND
    assert sorted(folder.iterdir()) == [dawn, dusk]


SAVED = {
    "another text": LOOSE.replace("3:7", "3:8").encode(),
    "other line ends": LOOSE.replace("\n", "\r\n").encode(),
    "a byte-order mark": b"\xef\xbb\xbf" + LOOSE.encode(),
    "no text": b"\xff",
    "nothing": None,
}


@pytest.mark.parametrize("saved", SAVED.values(), ids=SAVED)
def test_what_is_saved_meanwhile_stays(folder: Path, monkeypatch: pytest.MonkeyPatch, saved: bytes | None) -> None:
    dawn, dusk = write(folder, dawn=LOOSE, dusk=LOOSE)
    lay_out = notation_write.formatted

    def save_meanwhile(source: SourceText) -> str:
        if source.path == "dawn.solo":
            dawn.unlink()
            if saved is not None:
                dawn.write_bytes(saved)
        return lay_out(source)

    monkeypatch.setattr(notation_write, "formatted", save_meanwhile)
    status, out, err = tabtools("format", ".")
    assert err == "dawn.solo: not formatted: it changed while it was being formatted; run it again\n"
    assert (status, out) == (2, "dusk.solo: formatted\n1 changed, 0 already canonical, 1 not formatted\n")
    assert (dawn.read_bytes() if dawn.exists() else None) == saved
    assert dusk.read_text(encoding="utf-8") == SOUND


def test_a_read_only_file_is_left_alone(folder: Path) -> None:
    (path,) = write(folder, dusk=LOOSE)
    path.chmod(0o444)
    done = tabtools_without_privileges(folder, "format", "dusk.solo")
    assert done.err == "tabtools: dusk.solo cannot be written: permission denied\n"
    assert path.read_text(encoding="utf-8") == LOOSE


def test_the_mode_of_a_file_stays(folder: Path) -> None:
    (path,) = write(folder, dusk=LOOSE)
    path.chmod(0o640)
    tabtools("format", "dusk.solo")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_link_stays_a_link(folder: Path) -> None:
    (path,) = write(folder, dusk=LOOSE)
    link = folder / "latest.solo"
    link.symlink_to("dusk.solo")
    tabtools("format", "latest.solo")
    assert link.is_symlink()
    assert path.read_text(encoding="utf-8") == SOUND


def test_comments_are_kept(folder: Path) -> None:
    text = LOOSE.replace("1    3:7  3:5", "# above\n1    3:7  3:5 # beside") + "# below\n"
    (path,) = write(folder, dusk=text)
    tabtools("format", "dusk.solo")
    assert path.read_text(encoding="utf-8").count("# ") == 3
