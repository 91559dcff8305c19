"""The index: what is kept, what is read again, and that nothing in it can do harm."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import astuple, fields, replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_music import line
from thoroughness import share

from tabtools.cache import maker
from tabtools.checks.subject import subject_of
from tabtools.files import Unread, read_all, solo_paths
from tabtools.search import index as index_module
from tabtools.search.collection import Excerpts
from tabtools.search.columns import value_of
from tabtools.search.devices import devices_named
from tabtools.search.index import Index
from tabtools.search.match import Stretch, example_of, stretches
from tabtools.search.query import Query, WantedChord, read_wanted_chord
from tabtools.search.reading import strokes_of
from tabtools.search.stored_index import FOLDER, NAME, read_solos
from tabtools.search.strokes import Strokes
from tabtools.source import SourceError, SourceText, from_text

TEXTS = (line("3:5", "3:7", "3:9", chord="Am7"), line("2:5", "2:8", chord="Dm7"))
SOURCES = tuple(from_text(text, f"{number}.solo") for number, text in enumerate(TEXTS))


def build(source: SourceText) -> Strokes:
    return strokes_of(subject_of(source))


def never(source: SourceText) -> Strokes:
    raise AssertionError(f"{source.path} is read again")


def filled() -> bytes:
    index = Index(b"", build)
    for source in SOURCES:
        index.strokes(source)
    return index.content(is_complete=True)


def rebuilt(data: bytes) -> list[str]:
    """Which of the solos an index of this content has to read again; what it gives has to be right in any case."""
    misses: list[str] = []

    def noted(source: SourceText) -> Strokes:
        misses.append(source.path)
        return build(source)

    index = Index(data, noted)
    assert [index.strokes(source) for source in SOURCES] == [build(source) for source in SOURCES]
    return misses


def test_what_is_kept_is_not_read_again_and_is_the_same() -> None:
    index = Index(filled(), never)
    assert [index.strokes(source) for source in SOURCES] == [build(source) for source in SOURCES]
    assert not index.is_outdated(is_complete=True)


def test_a_solo_that_changed_is_read_again_and_only_that_one() -> None:
    index = Index(filled(), build)
    changed = from_text(TEXTS[0].replace("3:7", "3:8"), "0.solo")
    assert index.strokes(changed) == build(changed)
    assert index.is_outdated(is_complete=False)
    later = Index(index.content(is_complete=False), never)
    assert [later.strokes(source) for source in (*SOURCES, changed)]


def test_any_title_that_can_be_written_is_kept() -> None:
    source = from_text(TEXTS[0].replace("title: A", "title: Fähre\u00a0🎸\u200b Ø"))
    index = Index(b"", build)
    expected = index.strokes(source)
    assert Index(index.content(is_complete=True), never).strokes(source) == expected


def test_a_renamed_solo_is_not_read_again() -> None:
    assert Index(filled(), never).strokes(replace(SOURCES[0], path="renamed.solo"))


def test_what_is_no_longer_there_is_forgotten_when_all_was_asked_for() -> None:
    index = Index(filled(), never)
    index.strokes(SOURCES[0])
    assert not index.is_outdated(is_complete=False)
    assert index.is_outdated(is_complete=True)
    assert rebuilt(index.content(is_complete=False)) == []
    assert rebuilt(index.content(is_complete=True)) == ["1.solo"]


@pytest.mark.parametrize("damage", [b"\xff", b"\n\x80 \xfe\n", b"\x00"])
def test_a_line_that_is_no_text_does_not_keep_others_from_being_kept(damage: bytes) -> None:
    maker, first, second, end = filled().split(b"\n")
    index = Index(b"\n".join([maker, first, second + damage, end]), build)
    fresh = from_text(line("1:1", "1:3"), "fresh.solo")
    index.strokes(fresh)
    later = Index(index.content(is_complete=False), never)
    assert later.strokes(SOURCES[0]) and later.strokes(fresh)


def test_the_index_of_another_version_is_not_used(monkeypatch: pytest.MonkeyPatch) -> None:
    data = filled()
    monkeypatch.setattr("tabtools.__version__", "0.0.9")
    maker._made_by.cache_clear()
    try:
        assert rebuilt(data) == ["0.solo", "1.solo"]
    finally:
        monkeypatch.undo()
        maker._made_by.cache_clear()
    assert rebuilt(data) == []


# ---- damage


@settings(max_examples=share(60))
@given(st.data())
def test_a_damaged_index_gives_right_answers(data: st.DataObject) -> None:
    content = bytearray(filled())
    at = data.draw(st.integers(0, len(content) - 1))
    kind = data.draw(st.sampled_from(("flip", "cut", "drop", "insert")))
    if kind == "flip":
        content[at] ^= data.draw(st.integers(1, 255))
    elif kind == "cut":
        del content[at:]
    elif kind == "drop":
        del content[at : at + data.draw(st.integers(1, 40))]
    else:
        content[at:at] = data.draw(st.binary(min_size=1, max_size=20))
    rebuilt(bytes(content))


@pytest.mark.parametrize(
    "content", [b"", b"\n", b"\x80\x04K\x01.", b"tabtools", b"SQLite format 3\x00", b"[" * 100_000]
)
def test_a_foreign_file_is_no_index(content: bytes) -> None:
    assert rebuilt(content) == ["0.solo", "1.solo"]


def forged(**values: object) -> bytes:
    """An index whose digests are right, the first solo's entry being wrong."""
    maker, first, second, end = filled().split(b"\n")
    entry = build(SOURCES[0])
    record = {field.name: value for field, value in zip(fields(entry), astuple(entry), strict=True)} | values
    payload = json.dumps(list(record.values()), ensure_ascii=False).encode()
    return b"\n".join([maker, first.split(b" ")[0] + b" " + index_module.digest(payload) + b" " + payload, second, end])


def test_a_forged_entry_of_the_right_shape_is_taken() -> None:
    index = Index(forged(title="Another"), never)
    assert index.strokes(SOURCES[0]).title == "Another"


@pytest.mark.parametrize(
    "values",
    [
        {"title": None},
        {"title": "\x1b[31mred"},
        {"texts": "3:5 \x1b[2J 3:9"},
        {"addresses": "1.1.1"},
        {"addresses": "1.1.1 1.1.2 1.1.3 1.1.4"},
        {"steps": "   x"},
        {"steps": ["a", "b", "c"]},
        {"chord_table": ["Am7"]},
        {"chord_table": [["Am7 A m7 A"]]},
        {"chord_table": "Am7 A m7 A"},
        {"chord_table": ["\x07 A m7 A"]},
        {"play_table": None},
        {"unreadable_lines": 0},
        {"unreadable_lines": ["0"]},
        {"devices": 7},
        {"devices": [["run", 0, 3]]},
        {"devices": None},
        {"another": 1},
    ],
)
def test_an_entry_of_the_wrong_shape_is_read_again(values: dict[str, object]) -> None:
    assert rebuilt(forged(**values)) == ["0.solo"]


def test_cells_that_point_nowhere_stand_for_nothing() -> None:
    strokes = Index(forged(chords="~~~", proportions="\ud7ff!!", chord_table=["H H H H"]), never).strokes(SOURCES[0])
    assert Excerpts(strokes).chords(Stretch(0, 2)) == ["NC"]
    assert stretches(Query(chord=read_wanted_chord("Am7")), strokes) == []
    assert stretches(Query(chord=WantedChord("H", root=0)), strokes) == []
    assert example_of(strokes, Stretch(0, 2), with_rhythm=True).proportions == (value_of(strokes.time_table, "!"),)


def test_lines_that_are_no_device_are_passed_over() -> None:
    lines = [
        "run 0 2 fine",
        "run 2 1 backwards",
        "run 0 3 too far",
        "run -1 1",
        "run 0.0 1 x",
        "run 0 1 \x1b[2J",
        "run",
    ]
    strokes = Index(forged(devices="\n".join(lines)), never).strokes(SOURCES[0])
    assert [device.sentence for device in devices_named(strokes, ["run"])] == ["fine"]


def test_a_list_nested_without_end_is_read_again() -> None:
    maker, first, second, end = filled().split(b"\n")
    payload = b"[" * 50_000 + b"]" * 50_000
    line_ = first.split(b" ")[0] + b" " + index_module.digest(payload) + b" " + payload
    assert rebuilt(b"\n".join([maker, line_, second, end])) == ["0.solo"]


# ---- on the disk


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "transcriptions").mkdir()
    for number, text in enumerate(TEXTS):
        (tmp_path / "transcriptions" / f"{number}.solo").write_text(text, encoding="utf-8")
    return tmp_path


def search(root: Path) -> list[str]:
    folder = root / "transcriptions"
    return [solo.slug for solo in read_solos(read_all(solo_paths([folder]), [folder]), root, is_complete=True)]


def test_the_index_lies_in_a_folder_that_git_ignores(root: Path) -> None:
    assert search(root) == ["0", "1"]
    assert sorted(path.name for path in (root / FOLDER).iterdir()) == [".gitignore", NAME]
    assert (root / FOLDER / ".gitignore").read_text(encoding="utf-8") == "*\n"


def test_the_index_is_only_written_when_something_changed(root: Path) -> None:
    search(root)
    before = (root / FOLDER / NAME).stat()
    search(root)
    assert (root / FOLDER / NAME).stat().st_ino == before.st_ino
    (root / "transcriptions" / "0.solo").unlink()
    search(root)
    assert (root / FOLDER / NAME).stat().st_ino != before.st_ino


def test_without_a_root_nothing_is_written(root: Path) -> None:
    folder = root / "transcriptions"
    assert read_solos(read_all(solo_paths([folder])), None, is_complete=True)
    assert not (root / FOLDER).exists()


def test_a_folder_that_cannot_be_written_only_costs_time(root: Path) -> None:
    (root / FOLDER).write_text("a file where the folder would be", encoding="utf-8")
    assert search(root) == ["0", "1"]


def test_an_index_that_cannot_be_read_only_costs_time(root: Path) -> None:
    (root / FOLDER / NAME).mkdir(parents=True)
    assert search(root) == ["0", "1"]


@pytest.mark.parametrize("link", [FOLDER, f"{FOLDER}/{NAME}"])
def test_links_are_not_followed(root: Path, link: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    target = elsewhere if link == FOLDER else elsewhere / "precious"
    if link != FOLDER:
        (root / FOLDER).mkdir()
        target.write_text("precious", encoding="utf-8")
    (root / link).symlink_to(target)
    assert search(root) == ["0", "1"]
    assert [path.read_text(encoding="utf-8") for path in elsewhere.iterdir()] == (
        ["precious"] if link != FOLDER else []
    )


def test_a_named_pipe_does_not_hold_the_search_up(root: Path) -> None:
    import os

    (root / FOLDER).mkdir()
    os.mkfifo(root / FOLDER / NAME)
    assert search(root) == ["0", "1"]


def test_an_interrupted_search_keeps_what_it_read_and_forgets_nothing(root: Path) -> None:
    search(root)
    fresh = from_text(line("1:1", "1:3"), "fresh.solo")

    def interrupted():
        yield fresh
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        read_solos(interrupted(), root, is_complete=True)
    index = Index((root / FOLDER / NAME).read_bytes(), never)
    assert [index.strokes(source) for source in (*SOURCES, fresh)]


def test_files_that_are_no_text_are_passed_over() -> None:
    unread = Unread("x.solo", SourceError("the file is in UTF-16", "save it as UTF-8"))
    assert [solo.slug for solo in read_solos([unread, SOURCES[1]], None, is_complete=True)] == ["1"]


def test_two_processes_at_one_time(root: Path) -> None:
    for number in range(13):
        text = line(*(f"3:{(number * step) % 13}" for step in range(8)))
        (root / "transcriptions" / f"more-{number}.solo").write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "tabtools", "find", "--intervals", "2", "--all"]
    both = [
        subprocess.Popen(command, cwd=root, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)
    ]
    outputs = [process.communicate(timeout=60) for process in both]
    assert outputs[0] == outputs[1]
    assert outputs[0][1] == ""
    assert [process.returncode for process in both] == [0, 0]
    again = subprocess.run(command, cwd=root, capture_output=True, text=True, check=False)
    assert again.stdout == outputs[0][0]
    assert sorted(path.name for path in (root / FOLDER).iterdir()) == [".gitignore", NAME]
    _, *entries, end = (root / FOLDER / NAME).read_bytes().split(b"\n")
    assert (len(entries), end) == (len(TEXTS) + 13, b"")
