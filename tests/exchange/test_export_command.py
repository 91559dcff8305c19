"""`tabtools export`: what it writes, where, what it refuses, and its exit status."""

from __future__ import annotations

import subprocess
import sys
from io import BytesIO
from pathlib import Path
from typing import NamedTuple
from zipfile import ZipFile

import pytest
from click.testing import CliRunner
from exported import timeline
from schema import faults
from sounded import read

from tabtools.cli import main
from tabtools.exchange import midi, musicxml

SOUND = """\
title:        Low Tide
player:       the Slipway Trio
rights:       CC0-1.0
capo:         2
key:          B minor
meter:        4/4

bar 1  Am
1    3:7 3:5
2-4  2:5
"""
SHORT_BAR = SOUND.replace("2-4  2:5", "2-3  2:5")


class Result(NamedTuple):
    status: int
    out: str
    err: str


def export(*arguments: str, text: str | None = None) -> Result:
    result = CliRunner().invoke(main, ["export", *arguments], input=text, catch_exceptions=False)
    return Result(result.exit_code, result.stdout, result.stderr)


@pytest.fixture
def solo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "low-tide.solo"
    path.write_text(SOUND, encoding="utf-8")
    return path


def test_musicxml_goes_to_standard_output(solo: Path) -> None:
    status, out, err = export("low-tide.solo", "--to", "musicxml")
    assert (status, err) == (0, "")
    assert out == musicxml(timeline(SOUND))
    assert faults(out) == []


def test_text_has_a_heading(solo: Path) -> None:
    status, out, _ = export("low-tide.solo", "--to", "text")
    assert status == 0
    assert out.splitlines()[:6] == [
        "Low Tide – the Slipway Trio",
        "rights: CC0-1.0",
        "tuning: E2 A2 D3 G3 B3 E4 (standard), capo at fret 2",
        "key: B minor",
        "meter: 4/4, tempo 120",
        "",
    ]
    assert "G|-7--5-" in out


def test_midi_needs_a_file(solo: Path) -> None:
    status, out, err = export("low-tide.solo", "--to", "midi")
    assert (status, out) == (2, "")
    assert err == "tabtools: MIDI is not text; name a file with --output, like low-tide.mid\n"
    status, out, _ = export("low-tide.solo", "--to", "midi", "--output", "low.mid")
    assert (status, out) == (0, "low.mid: written\n")
    assert Path("low.mid").read_bytes() == midi(timeline(SOUND))
    assert len(read(Path("low.mid").read_bytes()).tones) == 3


def test_a_compressed_document(solo: Path) -> None:
    """MusicXML 4.0: a ZIP archive whose container names the document; `mimetype` comes first, stored."""
    assert export("low-tide.solo", "--to", "musicxml", "-o", "low.mxl").status == 0
    with ZipFile(BytesIO(Path("low.mxl").read_bytes())) as archive:
        assert archive.namelist()[:2] == ["mimetype", "META-INF/container.xml"]
        assert archive.infolist()[0].compress_type == 0
        assert b'full-path="score.musicxml"' in archive.read("META-INF/container.xml")
        assert archive.read("score.musicxml").decode() == musicxml(timeline(SOUND))


def test_degrees_are_lyrics(solo: Path) -> None:
    assert "<text>6</text>" in export("low-tide.solo", "--to", "musicxml", "--degrees", "plain").out
    status, _, err = export("low-tide.solo", "--to", "text", "--degrees", "plain")
    assert status == 2
    assert "tabtools annotate" in err


def test_nothing_is_overwritten_without_force(solo: Path) -> None:
    Path("low.mid").write_bytes(b"mine")
    status, _, err = export("low-tide.solo", "--to", "midi", "--output", "low.mid")
    assert (status, err) == (2, "tabtools: low.mid is there already; add --force to replace it\n")
    assert Path("low.mid").read_bytes() == b"mine"
    assert export("low-tide.solo", "--to", "midi", "--output", "low.mid", "--force").status == 0
    assert Path("low.mid").read_bytes()[:4] == b"MThd"
    assert sorted(path.name for path in Path().iterdir()) == ["low-tide.solo", "low.mid"]


def test_a_solo_is_never_overwritten(solo: Path) -> None:
    status, _, err = export("low-tide.solo", "--to", "text", "--output", "low-tide.solo", "--force")
    assert status == 2
    assert "is the name of a solo" in err
    assert solo.read_text(encoding="utf-8") == SOUND


def test_a_file_that_cannot_be_written_leaves_nothing(solo: Path) -> None:
    Path("file").touch()
    status, _, err = export("low-tide.solo", "--to", "text", "--output", "file/low.txt")
    assert status == 2
    assert "cannot be written" in err
    status, _, err = export("low-tide.solo", "--to", "text", "--output", ".")
    assert (status, err) == (2, "tabtools: . is a folder; name a file in it\n")
    assert sorted(path.name for path in Path().iterdir()) == ["file", "low-tide.solo"]


def test_a_solo_with_errors_is_refused(solo: Path) -> None:
    solo.write_text(SHORT_BAR, encoding="utf-8")
    status, out, err = export("low-tide.solo", "--to", "musicxml")
    assert (status, out) == (1, "")
    assert "[bar-duration]" in err
    assert err.endswith("not exported: mend what is wrong, or export a draft with --draft\n")


@pytest.mark.parametrize("form", ["musicxml", "text", "midi"])
def test_a_draft_is_exported_with_its_errors(solo: Path, form: str) -> None:
    solo.write_text(SHORT_BAR + "\nbar 2\n1  3:7 §§\n2-9  4:5\n2  9:9 4:<6>\n", encoding="utf-8")
    status, _, err = export("low-tide.solo", "--to", form, "--draft", "--output", "low.out")
    assert status == 0
    assert err.startswith("tabtools: a draft: low-tide.solo has ")
    if form == "musicxml":
        assert faults(Path("low.out").read_text(encoding="utf-8")) == []


def test_a_false_claim_of_the_lesson_is_no_error_of_the_solo(solo: Path) -> None:
    solo.with_suffix(".md").write_text("# Low Tide\n\nSee `@1.1 9 notes`.\n", encoding="utf-8")
    assert export("low-tide.solo", "--to", "musicxml").status == 0


def test_standard_input_folders_and_missing_files(solo: Path) -> None:
    assert export("-", "--to", "musicxml", text=SOUND).out == musicxml(timeline(SOUND))
    assert export(".", "--to", "musicxml").err == "tabtools: . is a folder; name one solo\n"
    assert export("gone.solo", "--to", "musicxml").status == 2
    assert "has no bars" in export("-", "--to", "text", "--draft", text="title: a\n").err


def test_linting_does_not_load_the_exports() -> None:
    code = "import sys, tabtools.cli; print([name for name in sys.modules if name.startswith('tabtools.exchange')])"
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert result.stdout == "[]\n"
