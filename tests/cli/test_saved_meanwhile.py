"""A file that is saved while a command works on it stays as it was saved, and the command says so."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, new_repository
from invoked import LOOSE, SOUND, tabtools

from tabtools import writing
from tabtools.review import apply_patch
from tabtools.review.git import GitError
from tabtools.review.patch import suggestion

MINE = DUSK.replace("3:7", "3:8")


class Work(NamedTuple):
    """A command, the file it writes, what that holds before (None: it is not there), and what is said of a save."""

    arguments: tuple[str, ...]
    file: str
    before: str | None
    status: int
    said: str


WORKS = {
    "format": Work(
        ("format", "dawn.solo"),
        "dawn.solo",
        LOOSE,
        2,
        "dawn.solo: not formatted: it changed while it was being formatted; run it again\n",
    ),
    "apply": Work(
        ("apply", "a.patch", "--yes"), SOLO, DUSK, 2, f"tabtools: {SOLO} changed in the meantime; run this again\n"
    ),
    "git install": Work(
        ("git", "install"),
        ".gitattributes",
        "*.png binary\n",
        2,
        "tabtools: .gitattributes changed in the meantime; run this again\n",
    ),
    "git install anew": Work(
        ("git", "install"),
        ".gitattributes",
        None,
        2,
        "tabtools: .gitattributes changed in the meantime; run this again\n",
    ),
    "git merge-driver": Work(
        ("git", "merge-driver", "base", "ours", "theirs", "7", "dusk.solo"),
        "ours",
        DUSK,
        3,
        "tabtools: dusk.solo is merged line by line: it changed in the meantime\n",
    ),
    "export": Work(
        ("export", "dawn.solo", "--to", "text", "-o", "dawn.txt"),
        "dawn.txt",
        None,
        2,
        "tabtools: dawn.txt is there already; add --force to replace it\n",
    ),
    "diff": Work(
        ("diff", "HEAD~1..HEAD", "--to", "a.md"),
        "a.md",
        None,
        2,
        "tabtools: a.md is there already; add --force to replace it\n",
    ),
    "review": Work(
        ("review", "HEAD~1..HEAD", "--to", "a.md"),
        "a.md",
        None,
        2,
        "tabtools: a.md is there already; add --force to replace it\n",
    ),
    "new": Work(
        ("new", "--title", "Low Tide", "--rights", "CC0-1.0"),
        "transcriptions/low-tide.solo",
        None,
        2,
        "tabtools: transcriptions/low-tide.solo is there already; add --force to replace it\n",
    ),
    "init": Work(
        ("init",),
        "pyproject.toml",
        None,
        2,
        "tabtools: pyproject.toml is there already; add --force to replace it\n",
    ),
}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository with something for every command to do."""
    repository = new_repository(tmp_path, DUSK)
    repository.commit("See `@1.1 3 notes`.\n", "a lesson", "transcriptions/dusk.md")
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    monkeypatch.chdir(tmp_path)
    sides = {"base": DUSK, "ours": DUSK, "theirs": BETTER}
    for name, text in (sides | {"dawn.solo": SOUND, "a.patch": suggestion(DUSK, BETTER, SOLO)}).items():
        Path(name).write_text(text, encoding="utf-8")
    return tmp_path


def meanwhile(monkeypatch: pytest.MonkeyPatch, happens: Callable[[], object]) -> None:
    """Let something happen while a command has a file written beside its place."""
    sync = writing.os.fsync

    def with_it(descriptor: int) -> None:
        happens()
        sync(descriptor)

    monkeypatch.setattr(writing.os, "fsync", with_it)


@pytest.mark.parametrize("work", WORKS.values(), ids=WORKS)
def test_what_is_saved_in_between_stays(folder: Path, monkeypatch: pytest.MonkeyPatch, work: Work) -> None:
    file = Path(work.file)
    if work.before is not None:
        file.write_text(work.before, encoding="utf-8")
    meanwhile(monkeypatch, lambda: file.write_text(MINE, encoding="utf-8"))
    result = tabtools(*work.arguments)
    assert (result.status, result.err) == (work.status, work.said)
    assert file.read_text(encoding="utf-8") == MINE
    assert list(folder.rglob(".tabtools-*")) == []


def test_what_is_saved_while_a_correction_is_committed_stays(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def save_and_fail(*_: object) -> str:
        Path(SOLO).write_text(MINE, encoding="utf-8")
        raise GitError("git commit failed: a hook says no")

    monkeypatch.setattr(apply_patch, "commit", save_and_fail)
    result = tabtools("apply", "a.patch", "--yes")
    assert Path(SOLO).read_text(encoding="utf-8") == MINE
    assert (result.status, result.err) == (
        2,
        f"tabtools: {SOLO} has the correction and what was saved since, and none of it is committed; look at "
        f"git diff -- {SOLO}, then commit it yourself\n",
    )
    assert not Path(".git/tabtools-correction.patch").exists()
