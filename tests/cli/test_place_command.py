"""tabtools place: what is proposed, what is written, what is listed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from invoked import SOUND, tabtools, write

HEAD = SOUND.partition("\nbar")[0]
OPEN = f"""{HEAD}
# one take
bar 1  Am7
1    =E4 h=G4   # heard twice
2    =A4  =C5b=D5
3    3:7b=E4 =G4?=A4
4    3:7 -

bar 2  D7
1-4  =D4 3:7 =F#4 3:7
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    (found,) = write(tmp_path, harbour=OPEN)
    return found


def test_places_are_shown_bar_by_bar_and_nothing_is_written(path: Path) -> None:
    result = tabtools("place", path)
    assert result.status == 0
    first, second, summary = result.out.split("\n\n")
    assert first.splitlines()[0] == "bar 1  Am7"
    assert second.splitlines() == [
        "bar 2  D7",
        "  2.1.1     =D4             3:7=D4          finger 3, V",
        "  2.1.3     =F#4            2:7=F#4         finger 3, V",
    ]
    assert summary == f"{path}: 8 notes placed; --write writes them\n"
    assert max(map(len, result.out.splitlines()[:-1])) <= 80
    assert path.read_text(encoding="utf-8") == OPEN


def test_places_are_written_and_nothing_else_changes(path: Path) -> None:
    result = tabtools("place", path, "2", "--write")
    assert (result.status, result.out.splitlines()[-1]) == (0, f"{path}: 2 notes placed and written")
    assert path.read_text(encoding="utf-8") == OPEN.replace("=D4 3:7 =F#4", "3:7=D4 3:7 2:7=F#4")
    tabtools("place", path, "--write")
    lines = path.read_text(encoding="utf-8").splitlines()
    assert [now for was, now in zip(OPEN.splitlines(), lines, strict=True) if was == now] == [
        line for line in OPEN.splitlines() if "=" not in line
    ]
    assert tabtools("place", path, "--write") == (0, f"{path}: no place is open\n", "")
    assert tabtools("lint", path).out.count("open-place") == 0


def test_a_note_alone_has_its_places_listed(path: Path) -> None:
    result = tabtools("place", path, "2.1.1")
    assert result.status == 0
    assert result.out.splitlines()[0] == "2.1.1  =D4  over D7"
    assert result.out.splitlines()[3].split()[0] == "3:7"
    found = json.loads(tabtools("place", path, "2.1.1", "--format", "json").out)
    assert found["at"] == "2.1.1"
    assert found["places"][0]["proposed"] == "3:7=D4"


@pytest.mark.parametrize(
    ("note", "reason"),
    [
        ("?", "its pitch is not known yet"),
        ("3:?b=A4", "its pitch is not known yet"),
        ("??", "nothing can be made out there"),
        ("3:x", "a dead note has no pitch"),
        ("3:<12>", "a harmonic stays where its string is touched"),
        ("=C2", "C2 lies below the lowest open string, E2"),
    ],
)
def test_what_has_no_other_place_is_told_why(tmp_path: Path, note: str, reason: str) -> None:
    (path,) = write(tmp_path, dawn=SOUND.replace("3:7", note))
    result = tabtools("place", path, "1.1.1")
    assert result.status == 1
    assert result.out.splitlines()[2:] == [f"  no place to choose: {reason}"]
    assert json.loads(tabtools("place", path, "1.1.1", "--format", "json").out)["reason"] == reason


def test_notes_of_a_bar_that_repeats_another_are_placed_there(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=f"{SOUND}\nbar 2 like 1\n")
    assert "no place to choose: bar 2 repeats bar 1; its notes are placed there" in tabtools("place", path, "2.1.1").out


def test_a_bend_has_its_start_and_its_goal_listed(tmp_path: Path) -> None:
    bars = "bar 1\n1-2  1:15=G5 b17=A5 r15=G5\n3-4  2:8b=A4\n"
    (path,) = write(tmp_path, dawn=f"{HEAD}\n{bars}")

    def places(at: str) -> list[str]:
        lines = tabtools("place", path, at).out.splitlines()[3:]
        return [line[2:].partition("  ")[0] for line in lines if line[2] != " "]

    assert places("1.1.2") == ["1:15 b17", "2:20 b22"]
    assert places("1.1.3") == ["1:15 r15 (now)", "2:20 r20"]
    assert {"2:8b10 (now)", "3:12b14"} <= set(places("1.3.1"))
    records = json.loads(tabtools("place", path, "1.1.2", "--format", "json").out)["places"]
    assert [one["from"] for one in records] == [{"string": 1, "fret": 15}, {"string": 2, "fret": 20}]


def test_the_list_of_a_chord_says_how_many_places_it_leaves_out(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=f"{HEAD}\nbar 1\n1-2  =C4+=E4+=G4\n3-4  =D4\n")
    assert tabtools("place", path, "1.1.1").out.endswith("\n\n  9 more, none of them easier\n")
    assert "more" not in tabtools("place", path, "1.3.1").out
    found = json.loads(tabtools("place", path, "1.1.1", "--format", "json").out)
    assert (len(found["places"]), found["left_out"]) == (8, 9)


def test_what_is_placed_is_placed_anew_where_that_is_asked_for(path: Path) -> None:
    in_ninth = tabtools("place", path, "2", "--position", "9")
    assert "  2.1.2     3:7             4:12 " in in_ninth.out
    low = tabtools("place", path, "2", "--strings", "4-5")
    assert [line.split()[2].partition(":")[0] for line in low.out.splitlines()[1:5]] == ["4"] * 4
    (path,) = write(path.parent, dawn=SOUND)
    assert tabtools("place", path, "1", "--position", "5").out == f"{path}: every place stays as it is\n"


PHRASE = f"""{HEAD}
bar 1
1    2:10=A4 2:13=C5
2    1:10=D5 1:12=E5
3-4  1:15=G5 b17=A5 r15=G5 -
"""


def test_what_is_not_where_it_was_wished_is_named(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=PHRASE)
    out = tabtools("place", path, "1", "--position", "7").out
    assert out.split("\n\n")[1] == "as near position 7 as it can; not there: 1.2.2 E5 (XII), 1.3.1 G5 (XII)"
    found = json.loads(tabtools("place", path, "1", "--position", "7", "--format", "json").out)
    assert [(one["at"], one["pitch"], one["string"], one["fret"]) for one in found["not_there"]] == [
        ("1.2.2", "E5", 1, 12),
        ("1.3.1", "G5", 1, 15),
    ]
    assert "not there" not in tabtools("place", path, "1.1", "--position", "9").out


def test_what_is_played_from_another_position_is_named_as_a_claim_is_told(tmp_path: Path) -> None:
    bars = "bar 1\n1  (=G2 =A2 =B2) (=C3 =D3 =E3)\n2  (=F#3 =G3 =A3) (=B3 =C4 =D4)\n3-4  =E4 =F#4\n"
    (path,) = write(tmp_path, dawn=f"{HEAD}\n{bars}")
    result = tabtools("place", path, "1", "--position", "3", "--write").out
    assert "\n\nwithin reach of position 3, but played from another: 1.1.5-1.3.2 (IV)\n" in result
    assert " 6:7=B2 " in result
    path.with_suffix(".md").write_text("`@1.1.5-1.3.2 position 3` `@1.1.1-1.1.4 position 3`\n", encoding="utf-8")
    assert tabtools("lint", path).out.count("the hand plays this in position IV") == 1


def test_just_what_no_finger_of_the_position_reaches_is_named(tmp_path: Path) -> None:
    bars = "bar 1  tempo 92\n1  3:10 2:9 2:12\n2  1:11 -\n3  2:15 2:12\n4  2:9 3:10\n"
    (path,) = write(tmp_path, dawn=f"{HEAD}\n{bars}")
    found = json.loads(tabtools("place", path, "1", "--position", "3", "--format", "json").out)
    named = {one["at"] for one in found["not_there"]}
    assert named == {one["at"] for one in found["placed"] if not 2 <= one["fret"] <= 7} | {"1.2.1"}
    assert {one["at"] for one in found["placed"]} - named


def test_what_is_in_the_position_asked_for_is_not_moved_out_of_it(tmp_path: Path) -> None:
    bars = "bar 1  tempo 92\n1  2:8b11~ -\n2  3:12 3:10\n3  3:8 \\5\n4  4:8 3:5\n"
    (path,) = write(tmp_path, dawn=f"{HEAD}\n{bars}")
    placed = json.loads(tabtools("place", path, "1", "--position", "8", "--format", "json").out)["placed"]
    assert [one["at"] for one in placed] == ["1.2.1", "1.4.2"]


def test_what_is_on_none_of_the_strings_stays_with_what_is_slurred_to_it(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=PHRASE)
    result = tabtools("place", path, "1", "--position", "7", "--strings", "3-4", "--write")
    assert result.status == 1
    left = "left where it is: 1 note\n  1.3.1     1:15=G5         G5 is on no string from 3 to 4\n"
    assert left in result.out
    assert "no place" not in result.out
    assert "as near position 7 on strings 3 to 4 as it can; not there: 1.1.1 A4" in result.out
    assert max(map(len, result.out.splitlines()[:-1])) <= 80
    assert "3-4  1:15=G5 b17=A5 r15=G5 -\n" in path.read_text(encoding="utf-8")
    assert "G5 is not on string 3\n" in tabtools("place", path, "1", "--strings", "3").out


@pytest.mark.parametrize(
    ("note", "position", "expected"),
    [
        ("2:5?3:9", 7, "3:9?2:5"),
        ("2:5?3:9", 13, "4:14?3:9"),
        ("2:5?3:9?4:14", 7, "3:9?2:5?4:14"),
        ("2:5?3:8", 7, "3:9?3:8"),
        ("=E4?=E4", 7, "3:9=E4?"),
        ("=E4?=C2", 7, "3:9=E4?"),
    ],
)
def test_no_place_is_written_twice_as_a_reading(tmp_path: Path, note: str, position: int, expected: str) -> None:
    (path,) = write(tmp_path, dawn=f"{HEAD}\nbar 1\n1-4  {note} -\n")
    tabtools("place", path, "1", "--position", str(position), "--write")
    assert path.read_text(encoding="utf-8").splitlines()[-1] == f"1-4  {expected} -"


def test_a_trill_goes_along(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=SOUND.replace("3:7 3:5", "3:7[trill 9, lh 3] 3:5"))
    assert " 4:12[trill 14] " in tabtools("place", path, "1", "--strings", "4").out


def test_open_strings_where_they_are_asked_for(path: Path) -> None:
    assert "1:0=E4" not in tabtools("place", path, "1").out
    (path,) = write(path.parent, dawn=f"{HEAD}\nbar 1\n1-4  =E4 =B3 =G3 =D3\n")
    assert [line.split()[2] for line in tabtools("place", path, "--open").out.splitlines()[1:5]] == [
        *("1:0=E4", "2:0=B3", "3:0=G3", "4:0=D3")
    ]


@pytest.mark.parametrize(
    ("notes", "arguments", "is_said"),
    [("2:10 2:6", (), True), ("2:10 2:5", (), False), ("2:10 2:5", ("--strings", "2-3"), True), ("=F4", (), True)],
)
def test_no_open_string_for_any_note_is_told(
    tmp_path: Path, notes: str, arguments: tuple[str, ...], is_said: bool
) -> None:
    (path,) = write(tmp_path, dawn=f"{HEAD}\nbar 1\n1  {notes}\n2-4  .\n")
    out = tabtools("place", path, "1", "--open", *arguments).out
    assert ("no note here lies on an open string" in out) == is_said


def test_json_has_what_is_placed_and_what_is_not(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=SOUND.replace("3:7 3:5", "=C2 =C4"))
    result = tabtools("place", path, "--format", "json")
    assert result.status == 1
    found = json.loads(result.out)
    assert [one["proposed"] for one in found["placed"]] == ["3:5=C4"]
    reason = "C2 lies below the lowest open string, E2"
    assert found["unplaced"] == [{"at": "1.1.1", "part": 1, "written": "=C2", "reason": reason, "stays": False}]


def test_what_can_be_placed_is_written_beside_what_cannot(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=SOUND.replace("3:7 3:5", "=C2 =C4"))
    assert tabtools("place", path, "--write").status == 1
    assert "1    =C2 3:5=C4\n" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("9",), "there is no bar 9"),
        (("here",), "names no stretch"),
        (("--strings", "0-3"), "names no strings"),
        (("--strings", "2-9"), "of strings 1 to 6"),
        (("--position", "0"), "0 is not between 1 and 36"),
    ],
)
def test_what_cannot_be_asked(path: Path, arguments: tuple[str, ...], said: str) -> None:
    result = tabtools("place", path, *arguments)
    assert result.status == 2
    assert said in result.err


def test_repeated_bars_are_placed_where_they_are_written(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=f"{HEAD}\nbar 1\n1-4  =C4 =E4\nbars 2-3 like 1\n")
    assert tabtools("place", path, "2-3") == (0, f"{path}: bar 2 repeats bar 1; its notes are placed there\n", "")
    assert tabtools("place", path, "2.1") == tabtools("place", path, "2-3")
    assert json.loads(tabtools("place", path, "2", "--format", "json").out)["placed"] == []
    assert "2 notes placed" in tabtools("place", path, "1-2").out


def test_a_pitch_that_its_string_has_not_says_so_in_the_list(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=f"{HEAD}\nbar 1\n1-4  2:=G2 =C2\n")
    assert tabtools("place", path, "1.1.1").out.endswith("no place to choose: G2 is not on string 2\n")
    assert tabtools("place", path, "1.1.2").out.endswith("C2 lies below the lowest open string, E2\n")


def test_a_passage_is_a_stretch(path: Path) -> None:
    path.write_text(f"{OPEN}\npassage 1.1  The call\n", encoding="utf-8")
    assert tabtools("place", path, "the call") == tabtools("place", path, "1.1")
    assert tabtools("place", path, "the call").status == 0


def test_a_file_with_lines_that_cannot_be_read_is_not_written(path: Path) -> None:
    path.write_text(OPEN.replace("4    3:7 -", "4    3:7 !"), encoding="utf-8")
    before = path.read_bytes()
    result = tabtools("place", path, "--write")
    assert (result.status, path.read_bytes()) == (2, before)
    assert "mend what tabtools lint reports" in result.err
    assert tabtools("place", path).status == 0


def test_standard_input_is_placed_and_not_written() -> None:
    assert "3:7=D4" in tabtools("place", "-", text=OPEN).out
    assert tabtools("place", "-", "--write", text=OPEN).status == 2


def test_a_place_within_a_stretch_is_not_said_to_lie_under_the_hand(tmp_path: Path) -> None:
    (path,) = write(tmp_path, dawn=f"{HEAD}\nbar 1  tempo 92\n1  3:9[lh 1]\n2  =B3 3:9[lh 1]\n3-4  -\n")
    rows = tabtools("place", path, "1.2.1").out.splitlines()
    ways = {row.split()[0]: " ".join(row.split()[3:]) for row in rows if ":" in row}
    assert (ways["4:9"], ways["5:14"]) == ("stays", "stretches 2 frets")
