"""tabtools annotate and tabtools show."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from invoked import SOUND, tabtools, write

CORPUS = sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))

BENDS = """\
title:        Low Tide
player:       the Slipway Trio
rights:       CC0-1.0
key:          A minor
meter:        4/4
tempo:        60

bar 1  Am7
1    3:7b9+1:5 -
2    h9 4:<12>
3    3:7? 3:x [pm]
4    .

bar 2  NC
1-4  2:8
"""

NOTE_KEYS = [
    "address",
    "bar",
    "count",
    "stroke",
    "part",
    "placed",
    "string",
    "fret",
    "attack_pitch",
    "attack_midi",
    "pitch",
    "midi",
    "via",
    "onset",
    "duration",
    "seconds",
    "chord",
    "degree",
    "key_degree",
    "uncertain",
    "open",
    "marks",
]
"""The keys of a note as issue 2 settles them; fingering adds its own."""


def annotated(*arguments: str) -> dict:
    return json.loads(tabtools("annotate", "--format", "json", *arguments).out)


def test_the_tab_with_degrees(folder: Path) -> None:
    write(folder, dusk=SOUND)
    assert tabtools("annotate", "dusk.solo") == (
        0,
        "Low Tide, the Slipway Trio\n"
        "tuning standard, 4/4, tempo 120\n"
        "\n"
        "  bar 1\n"
        "   Am\n"
        "   1      2-4\n"
        "E|---------------|\n"
        "B|--------5------|\n"
        "G|-7--5----------|\n"
        "D|---------------|\n"
        "A|---------------|\n"
        "E|---------------|\n"
        "   4  b3  5\n",
        "",
    )


def test_the_tab_alone(folder: Path) -> None:
    write(folder, dusk=SOUND)
    assert tabtools("show", "dusk.solo") == (
        0,
        "  bar 1\n"
        "   Am\n"
        "   1     2-4\n"
        "E|--------------|\n"
        "B|-------5------|\n"
        "G|-7--5---------|\n"
        "D|--------------|\n"
        "A|--------------|\n"
        "E|--------------|\n",
        "",
    )


def test_chords_that_come_under_a_held_note_are_shown(folder: Path) -> None:
    write(folder, dusk=SOUND.replace("bar 1  Am", "bar 1  Am Dm@2& E7@4"))
    assert tabtools("show", "dusk.solo").out.splitlines()[1:3] == ["   Am    Dm E7", "   1     2-4"]


def test_a_bar_of_which_nothing_is_written_is_shown_empty(folder: Path) -> None:
    write(folder, dusk=SOUND + "bar 2  Dm\n")
    first, second, *_ = tabtools("show", "dusk.solo", "--bars", "2").out.splitlines()
    assert (first, second) == ("  bar 2, empty", "   Dm")


def test_a_line_wider_than_the_page_goes_on_below(folder: Path) -> None:
    notes = " ".join(["3:12b14r12"] * 20)
    write(folder, dusk=f"meter: 4/4\nbar 1  Am\n1-4  {notes}\n")
    out = tabtools("show", "dusk.solo").out
    assert out.count("12b14r12") == 20
    assert out.count("bar 1") == len(out.split("\n\n")) == 3
    assert max(map(len, out.splitlines())) <= 80


def test_the_shape_of_the_json(folder: Path) -> None:
    write(folder, dusk=BENDS)
    document = annotated("dusk.solo")
    assert {key: document[key] for key in ("path", "title", "tuning", "capo", "bars")} == {
        "path": "dusk.solo",
        "title": "Low Tide",
        "tuning": ["E2", "A2", "D3", "G3", "B3", "E4"],
        "capo": 0,
        "bars": 2,
    }
    assert len(document["notes"]) == 7
    for note in document["notes"]:
        assert [key for key in note if key in NOTE_KEYS] == NOTE_KEYS


def test_what_the_json_says_of_notes(folder: Path) -> None:
    write(folder, dusk=BENDS)
    bend, held, hammered, harmonic, doubtful, dead, alone = (
        {key: note[key] for key in NOTE_KEYS} for note in annotated("dusk.solo")["notes"]
    )
    assert bend == {
        "address": "1.1.1",
        "bar": 1,
        "count": 1,
        "stroke": 1,
        "part": 1,
        "placed": True,
        "string": 3,
        "fret": 7,
        "attack_pitch": "D4",
        "attack_midi": 62,
        "pitch": "E4",
        "midi": 64,
        "via": None,
        "onset": "0/1",
        "duration": "1/1",
        "seconds": 0.0,
        "chord": "Am7",
        "degree": "5",
        "key_degree": "5",
        "uncertain": False,
        "open": [],
        "marks": [],
    }
    assert (held["part"], held["string"], held["pitch"], held["degree"]) == (2, 1, "A4", "1")
    assert (hammered["address"], hammered["via"], hammered["string"], hammered["fret"]) == ("1.2.1", "h", 3, 9)
    assert (harmonic["fret"], harmonic["pitch"], harmonic["midi"]) == (12, "D4", 62)
    assert (doubtful["uncertain"], doubtful["open"], doubtful["marks"]) == (True, ["reading"], ["pm"])
    assert (dead["fret"], dead["pitch"], dead["midi"], dead["degree"]) == (None, None, None, None)
    assert (alone["onset"], alone["seconds"], alone["chord"], alone["degree"], alone["key_degree"]) == (
        "4/1",
        4.0,
        None,
        None,
        "b7",
    )


def test_what_is_not_known_yet_is_null_and_named(folder: Path) -> None:
    write(
        folder,
        dusk=BENDS.replace("3:7b9+1:5 -", "=D4 ?")
        .replace("h9 4:<12>", "3:? 3:=D4")
        .replace("3    3:7? 3:x [pm]\n4    .", "3-4? 3:7b=A4? ??")
        .replace("Am7\n", "Am7 C?@2\n"),
    )
    found = [
        [note[key] for key in ("placed", "string", "fret", "pitch", "open")] for note in annotated("dusk.solo")["notes"]
    ]
    assert found == [
        [False, None, None, "D4", ["place"]],
        [False, None, None, None, ["pitch"]],
        [False, 3, None, None, ["pitch", "chord"]],
        [True, 3, 7, "D4", ["place", "chord"]],
        [True, 3, 7, "A4", ["place", "reading", "rhythm", "chord"]],
        [False, None, None, None, ["unheard", "rhythm", "chord"]],
        [True, 2, 8, "G4", []],
    ]


def test_a_quarter_tone_has_a_fractional_number(folder: Path) -> None:
    write(folder, dusk=SOUND.replace("2-4  2:5", "2-4  2:5b5.5"))
    note = annotated("dusk.solo")["notes"][2]
    assert (note["attack_midi"], note["midi"], note["pitch"]) == (64, 64.5, "E4+50c")


def test_bars_are_chosen(folder: Path) -> None:
    write(folder, dusk=BENDS)
    assert "bar 1" not in tabtools("annotate", "dusk.solo", "--bars", "2").out
    assert "bar 2" in tabtools("show", "dusk.solo", "--bars", "1-2").out
    assert [note["bar"] for note in annotated("dusk.solo", "--bars", "2-9")["notes"]] == [2]


@pytest.mark.parametrize("bars", ["", "x", "2-", "-2", "1-2-3", "²", "1.5"])
def test_bars_that_name_none(folder: Path, bars: str) -> None:
    write(folder, dusk=SOUND)
    for command in ("annotate", "show"):
        assert tabtools(command, "dusk.solo", f"--bars={bars}") == (
            2,
            "",
            f"tabtools: “{bars}” names no bars; write 5 or 5-8\n",
        )


def test_bars_that_are_not_there(folder: Path) -> None:
    write(folder, dusk=SOUND)
    assert tabtools("show", "dusk.solo", "--bars", "7-8") == (2, "", "tabtools: the solo has no bars 7-8\n")


@pytest.mark.parametrize("command", ["annotate", "show"])
def test_lines_that_cannot_be_read_are_said_to_be_missing(folder: Path, command: str) -> None:
    write(folder, dusk=SOUND + "bar 2\n1-4  37\nx\n")
    status, out, err = tabtools(command, "dusk.solo")
    assert status == 0
    assert "bar 1" in out
    assert err == "tabtools: 2 lines of dusk.solo cannot be read; run tabtools lint\n"


@pytest.mark.parametrize("command", ["annotate", "show"])
def test_bars_that_cannot_be_shown_are_named_with_their_lines(folder: Path, command: str) -> None:
    write(folder, dusk=SOUND + "\nbar x  Dm7  # which?\n1-4  3:7\n\nbars 3-4 like\n\nbar 5\n1-4  3:5\n")
    said = (
        "  line 10, after bar 1: “bar x Dm7” cannot be read, and its bar is not shown\n"
        "  line 13, after bar 1: “bars 3-4 like” cannot be read, and its bars are not\n"
        "    shown\n"
    )
    out = tabtools(command, "dusk.solo").out
    assert out.endswith(f"\n\n{said}")
    assert "bar 5" in out
    assert tabtools(command, "dusk.solo", "--bars", "1").out.endswith(said)
    assert "cannot be read" not in tabtools(command, "dusk.solo", "--bars", "5").out


def test_a_bar_that_cannot_be_shown_before_all_others(folder: Path) -> None:
    write(folder, dusk=SOUND.replace("bar 1  Am", "bar one  Am\n1-4  3:7\n\nbar 2  Am"))
    assert tabtools("show", "dusk.solo").out.endswith(
        "\n\n  line 6: “bar one Am” cannot be read, and its bar is not shown\n"
    )


@pytest.mark.parametrize("command", ["annotate", "show"])
@pytest.mark.parametrize("text", ["", "# nothing yet\n", "title: A\n"])
def test_a_solo_without_bars(folder: Path, command: str, text: str) -> None:
    write(folder, dusk=text)
    assert tabtools(command, "dusk.solo") == (
        2,
        "",
        "tabtools: dusk.solo has no bars; write a line like bar 1, and what is played below it\n",
    )


@pytest.mark.parametrize("command", ["annotate", "show"])
def test_what_is_no_solo(folder: Path, command: str) -> None:
    (folder / "dusk.solo").write_bytes(b"\xff\xfet\0")
    assert tabtools(command, "dusk.solo") == (2, "", "tabtools: dusk.solo: the file is in UTF-16; save it as UTF-8\n")
    assert tabtools(command, "dawn.solo") == (2, "", "tabtools: dawn.solo is not there\n")
    assert tabtools(command, ".") == (2, "", "tabtools: . is a folder; name one solo\n")


@pytest.mark.parametrize("command", ["annotate", "show"])
def test_standard_input(folder: Path, command: str) -> None:
    write(folder, dusk=SOUND)
    assert tabtools(command, "-", text=SOUND) == tabtools(command, "dusk.solo")


def test_the_name_of_standard_input(folder: Path) -> None:
    result = tabtools("annotate", "-", "--stdin-name", "solos/dusk.solo", "--format", "json", text=SOUND)
    assert json.loads(result.out)["path"] == "solos/dusk.solo"


def test_degrees_in_the_style_asked_for(folder: Path) -> None:
    write(folder, dusk=SOUND.replace("Am", "G7").replace("3:7 3:5", "3:3 3:2"))
    plain = [note["degree"] for note in annotated("dusk.solo")["notes"]]
    extended = [note["degree"] for note in annotated("dusk.solo", "--style", "extended")["notes"]]
    assert plain == ["b3", "2", "6"]
    assert extended == ["#9", "9", "13"]


@pytest.mark.parametrize("command", ["annotate", "show"])
@pytest.mark.parametrize("path", CORPUS, ids=lambda path: path.stem)
def test_demo_solos_fit_a_terminal(command: str, path: Path) -> None:
    status, out, err = tabtools(command, path)
    assert (status, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize("path", CORPUS, ids=lambda path: path.stem)
def test_every_string_of_a_system_is_as_long_as_the_others(path: Path) -> None:
    blocks = tabtools("show", path).out.split("\n\n")
    systems = [[line for line in block.splitlines() if line.endswith("|")] for block in blocks]
    if any("not certain" in line for line in blocks[-1].splitlines()):  # what the signs of doubt mean stands at the end
        assert systems.pop() == []
    for strings in systems:
        assert len(strings) >= 4
        assert len({len(line) for line in strings}) == 1
