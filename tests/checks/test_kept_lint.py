"""What was found the last time is found the next time, whatever was changed in between."""

from __future__ import annotations

import sqlite3
import stat
from collections.abc import Callable, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import share

from tabtools import linting
from tabtools.cache.results import Keeping
from tabtools.checks import ALL_CHECKS, BY_NAME
from tabtools.checks.run import Examined, examine
from tabtools.checks.subject import Subject
from tabtools.files import read_all
from tabtools.hand import DEFAULT_PROFILE, HandProfile
from tabtools.linting import Linted, lint_many
from tabtools.source import SourceText

HEAD = "title: {title}\nplayer: B\nrights: CC0-1.0\nmeter: 4/4\n"
BODY = "\nbar 1  Am7\n1    3:7 3:5\n2-4  2:5?\n\nbar 2  Dm7\n1-4  3:7b9=E4\n"
NAMES = ("one", "two", "three")
TEXT_EDITS: dict[str, Callable[[str], str]] = {
    "a note": lambda text: text.replace("3:7 3:5", "3:7 3:4") if "3:7 3:5" in text else text.replace("3:4", "3:5"),
    "a wrong note": lambda text: text.replace("b9=E4", "b8=E4"),
    "a chord, spelled otherwise": lambda text: text.replace("Am7", "A-7"),
    "a tuning by another name": lambda text: text.replace("meter:", "tuning: half step down\nmeter:", 1),
    "a tuning by its notes": lambda text: text.replace("meter:", "tuning: Eb2 Ab2 Db3 Gb3 Bb3 Eb4\nmeter:", 1),
    "a permission": lambda text: text + "\n# allow unsure-reading: the tape\nbar 3\n1-4  2:5?\n",
    "a permission in the header": lambda text: "# allow bar-duration: a cut\n" + text,
    "a draft": lambda text: "draft: yes\n" + text,
    "a lost line": lambda text: text.replace("2-4  2:5?\n", ""),
    "a line that cannot be read": lambda text: text + "1 &&&\n",
    "white space": lambda text: text.replace("2-4  2:5", "2-4  2:5  "),
    "the ends of lines": lambda text: text.replace("\r\n", "\n").replace("\n", "\r\n"),
}


def write(folder: Path, name: str, text: str) -> None:
    (folder / name).write_text(text, encoding="utf-8", newline="")


def edited(folder: Path, name: str, edit: str) -> None:
    """Change the collection."""
    solo, lesson = folder / f"{name}.solo", folder / f"{name}.md"
    if edit in TEXT_EDITS and solo.exists():
        write(folder, solo.name, TEXT_EDITS[edit](solo.read_bytes().decode("utf-8", "replace")))
    elif edit == "another name":
        other = solo.with_name(f"{name.title()}.solo")
        if solo.exists():
            solo.rename(other)
        elif other.exists():
            other.rename(solo)
    elif edit == "gone":
        solo.unlink(missing_ok=True)
    elif edit == "no text":
        solo.write_bytes(b"title: \xff\n")
    elif edit == "a lesson":
        write(folder, lesson.name, "It is `@1.1.1 D4`.\n")
    elif edit == "a lesson that is wrong":
        write(folder, lesson.name, "It is `@1.1.1 G4`.\n")
    elif edit == "a lesson that is no text":
        lesson.write_bytes(b"\xff")
    elif edit == "no lesson":
        lesson.unlink(missing_ok=True)


EDITS = (*TEXT_EDITS, "another name", "gone", "no text", "a lesson", "a lesson that is wrong",
         "a lesson that is no text", "no lesson")  # fmt: skip
PROFILES = (DEFAULT_PROFILE, HandProfile(size="small", pick_rate=(1, 2)))
CHOSEN = (ALL_CHECKS, [BY_NAME["unsure-reading"], BY_NAME["bar-duration"]], ALL_CHECKS[::2])


def linted(folder: Path, keeping: Keeping | None, checks: int = 0, profile: int = 0) -> Linted:
    found = list(read_all(sorted(folder.glob("*.solo")), [folder]))
    return lint_many(found, CHOSEN[checks], PROFILES[profile], keeping=keeping)


@settings(max_examples=share(120))
@given(
    st.lists(
        st.tuples(st.sampled_from(NAMES), st.sampled_from(EDITS), st.integers(0, 2), st.integers(0, 1)), max_size=12
    )
)
def test_what_is_found_is_the_same_with_and_without(steps: list[tuple[str, str, int, int]]) -> None:
    with TemporaryDirectory() as place:
        folder, keeping = Path(place, "solos"), Keeping(Path(place, "cache", "results.sqlite"))
        folder.mkdir()
        for name in NAMES:
            write(folder, f"{name}.solo", HEAD.format(title=name) + BODY)
        assert linted(folder, keeping) == linted(folder, None)
        for name, edit, checks, profile in steps:
            edited(folder, name, edit)
            for again in range(2):
                assert linted(folder, keeping, checks, profile) == linted(folder, None, checks, profile), again


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "solos"
    folder.mkdir()
    for name in NAMES:
        write(folder, f"{name}.solo", HEAD.format(title=name) + BODY)
    write(folder, "one.md", "It is `@1.1.1 G4`.\n")
    return folder


@pytest.fixture
def examined(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The paths of the solos that are worked out."""
    paths: list[str] = []

    def noted(subject: Subject, lesson: SourceText | None, checks: Sequence[ModuleType]) -> Examined:
        paths.append(Path(subject.source.path).name)
        return examine(subject, lesson, checks)

    monkeypatch.setattr(linting, "examine", noted)
    return paths


@pytest.mark.parametrize("edit", EDITS)
def test_only_what_changed_is_worked_out_again(folder: Path, tmp_path: Path, examined: list[str], edit: str) -> None:
    keeping = Keeping(tmp_path / "results.sqlite")
    linted(folder, keeping)
    assert sorted(examined) == ["one.solo", "three.solo", "two.solo"]
    examined.clear()
    linted(folder, keeping)
    assert examined == []
    edited(folder, "two", edit)
    linted(folder, keeping)
    assert {name.lower() for name in examined} <= {"two.solo"}


DAMAGES: dict[str, Callable[[Path], object]] = {
    "nonsense": lambda path: path.write_bytes(b"no store at all " * 100),
    "cut off": lambda path: path.write_bytes(path.read_bytes()[:5000]),
    "empty": lambda path: path.write_bytes(b""),
    "a folder": lambda path: _folder_instead(path),
    "not to be written": lambda path: path.chmod(stat.S_IRUSR),
    "results in each other's place": lambda path: _swapped(path),
    "results of nothing": lambda path: _emptied(path),
}


def _changed(path: Path, statement: str) -> None:
    with sqlite3.connect(path) as kept:
        kept.execute(statement)
    kept.close()


def _folder_instead(path: Path) -> None:
    path.unlink()
    path.mkdir()


def _swapped(path: Path) -> None:
    _changed(path, "UPDATE result SET made = (SELECT made FROM result AS other WHERE other.key != result.key LIMIT 1)")


def _emptied(path: Path) -> None:
    _changed(path, "UPDATE result SET made = x''")


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_store_changes_nothing(folder: Path, tmp_path: Path, damage: str) -> None:
    path = tmp_path / "results.sqlite"
    right = linted(folder, None)
    linted(folder, Keeping(path))
    DAMAGES[damage](path)
    for _ in range(2):
        assert linted(folder, Keeping(path)) == right
