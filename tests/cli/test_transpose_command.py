"""tabtools transpose: what is written, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from invoked import SOUND, tabtools, write

KEYED = SOUND.replace("meter:", "key:          A minor\nmeter:")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    (found,) = write(tmp_path, dawn=KEYED)
    return found


def test_a_new_solo_is_written_that_lints_clean(path: Path) -> None:
    new = path.with_name("dusk.solo")
    result = tabtools("transpose", path, "--to", "C minor", "--output", new)
    assert result == (0, f"{new}: written\n", "")
    text = new.read_text(encoding="utf-8")
    assert text.startswith("# Transposed from dawn.solo: 3 semitones up\n# An exercise: nobody played it so\n")
    assert "key:          C minor\n" in text
    assert text.endswith("bar 1  Cm\n1    3:10 3:8\n2-4  2:8\n")
    assert path.read_text(encoding="utf-8") == KEYED
    assert tabtools("lint", new, "--strict").status == 0


def test_nothing_is_replaced_without_being_asked(path: Path) -> None:
    assert tabtools("transpose", path, "--by", "2", "--output", path).status == 2
    assert path.read_text(encoding="utf-8") == KEYED
    assert tabtools("transpose", path, "--by", "2", "--output", path, "--force").status == 0


def test_the_other_way_is_gone_where_the_shorter_leaves_the_neck(path: Path) -> None:
    path.write_text(KEYED.replace("3:7 3:5", "6:0 6:3"), encoding="utf-8")
    out = tabtools("transpose", path, "--to", "G minor").out
    assert "10 semitones up" in out
    assert "6:10 6:13" in out


def test_what_cannot_be_played_is_named_and_nothing_written(path: Path) -> None:
    new = path.with_name("dusk.solo")
    path.write_text(KEYED.replace("3:7 3:5", "6:0 3:<12>"), encoding="utf-8")
    result = tabtools("transpose", path, "--by", "-1", "--output", new)
    assert result == (
        1,
        "",
        f"{path}: no hand can play it there:\n  1.1.1  6:0  would be 6:-1\n  1.1.2  3:<12>  would be 3:-1<11>\n",
    )
    assert not new.exists()


def test_what_cannot_be_played_is_named_as_the_old_file_has_it(path: Path) -> None:
    path.write_text(f"{KEYED}\nbar 2\n1-4  3:7\n\nbar 3\n1-4  6:0\n", encoding="utf-8")
    said = f"{path}: no hand can play it there:\n  3.1.1  6:0  would be 6:-1\n"
    assert tabtools("transpose", path, "2-3", "--by", "-1").err == said


def test_of_two_ways_the_one_with_less_in_the_way_is_told(path: Path) -> None:
    path.write_text(KEYED.replace("3:7 3:5", "6:0 3:7").replace("2:5", "1:15"), encoding="utf-8")
    said = f"{path}: 3 semitones down, no hand can play it there:\n  1.1.1  6:0  would be 6:-3\n"
    assert tabtools("transpose", path, "--to", "F# minor").err == said


def test_the_end_of_the_neck_is_named(path: Path) -> None:
    path.write_text(KEYED.replace("3:7 3:5", "1:11 1:9b11"), encoding="utf-8")
    out = f"{path}: the neck ends at fret 22:\n  1.1.1  1:11  would be 1:23\n"
    assert tabtools("transpose", path, "--by", "12").err == out


def test_the_way_that_lies_better_is_named(path: Path) -> None:
    path.write_text(KEYED.replace("3:7 3:5", "1:14 1:12").replace("2:5", "2:13"), encoding="utf-8")
    result = tabtools("transpose", path, "--to", "D minor")
    assert "1    1:19 1:17\n" in result.out
    assert result.err == f"{path}: it goes up to fret 19; --by -7 lies at frets 5 to 7\n"
    refused = tabtools("transpose", path, "--by", "9")
    assert refused.err.endswith("  1.1.1  1:14  would be 1:23\n  --by -3 lies at frets 9 to 11\n")
    assert tabtools("transpose", path, "--by", "1").err == ""


def test_some_bars_and_other_strings(path: Path) -> None:
    assert "1    4:12 4:10\n2-4  3:9\n" in tabtools("transpose", path, "1", "--strings", "1").out
    assert "# Transposed from dawn.solo, bar 1: 1 string lower on the neck" in (
        tabtools("transpose", path, "1", "--strings", "1").out
    )


def test_some_bars_are_an_exercise_that_lints_clean(path: Path) -> None:
    bars = "".join(f"\nbar {number}  Am at 0:{10 + 2 * number}\n1    3:7 3:5\n2-4  2:5\n" for number in range(2, 6))
    path.write_text(f"{KEYED}{bars}", encoding="utf-8")
    new = path.with_name("dusk.solo")
    assert tabtools("transpose", path, "3-5", "--to", "C minor", "--output", new).status == 0
    text = new.read_text(encoding="utf-8")
    assert [line for line in text.splitlines() if line.startswith("bar")] == ["bar 1  Cm", "bar 2  Cm", "bar 3  Cm"]
    assert ", bars 3-5, in C minor\n" in text
    assert "recording" not in text
    assert tabtools("lint", new, "--strict").status == 0


def test_a_stretch_and_a_passage_are_an_exercise(path: Path) -> None:
    path.write_text(f"{KEYED}\npassage 1.2  The end\n", encoding="utf-8")
    for stretch, part in (("1.2", "1.2"), ("the end", "“the end”")):
        new = path.with_name("dusk.solo")
        assert tabtools("transpose", path, stretch, "--by", "3", "--output", new, "--force").status == 0
        text = new.read_text(encoding="utf-8")
        assert text.startswith(f"# Transposed from dawn.solo, {part}: 3 semitones up\n")
        assert f", {part}, in C minor\n" in text
        assert "bar 1  Cm\n1    .\n2-4  2:8\n" in text
        assert tabtools("lint", new, "--strict").status == 0


def test_a_name_of_two_passages_names_none(path: Path) -> None:
    path.write_text(f"{KEYED}\npassage 1.1  Call\npassage 1.2  Call\npassage 1.1-1.2\n", encoding="utf-8")
    err = tabtools("transpose", path, "call", "--by", "3").err
    assert err == "tabtools: “call” is the name of 2 passages; write 1.1 or 1.2\n"
    assert tabtools("transpose", path, "cal", "--by", "3").err.endswith("or the name of a passage: “Call”\n")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "say where to"),
        (("--to", "C minor", "--by", "3"), "the same thing twice"),
        (("--to", "C major"), "stays minor wherever it goes"),
        (("--to", "H minor"), "does not start with a tonic"),
        (("--by", "99"), "99 is not between -24 and 24"),
        (("--by", "9" * 5000), "is not between -24 and 24"),
        (("--by", "two"), "“two” is no whole number"),
        (("--strings", "-9"), "-9 is not between -8 and 8"),
        (("7", "--by", "2"), "no bar 7"),
        (("here", "--by", "2"), "“here” names no stretch; write bar and count, like 5, 5.2-6.3 or 5.2.1\n"),
        (("1.1.9", "--by", "2"), "there is no 1.1.9"),
    ],
)
def test_what_cannot_be_asked(path: Path, arguments: tuple[str, ...], said: str) -> None:
    result = tabtools("transpose", path, *arguments)
    assert result.status == 2
    assert said in result.err
