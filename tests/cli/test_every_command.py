"""What lints without errors works with every command; what has errors gets a message, never a traceback."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from every_command import drive, has_errors, review
from git_repositories import new_repository
from hypothesis import given, settings
from hypothesis import strategies as st
from invoked import tabtools
from thoroughness import IS_THOROUGH, share
from thrown_solos import HEAD, any_solo, slipped, thrown

MOST = None if IS_THOROUGH else 10
"""Commands for each solo: a fast run throws some of them."""
SEEDS = st.integers(0, 2**40)

FOUND = (
    "1-4  3:7pb9~",
    "1-4  4:<12>pb14~",
    "1-4  6:5[lh 4] p3[lh T]",
    "1    3:7\n2    1:5 - 2:8\n2    - - 3:7\n3-4  .",
    "1-3  3:7\n2-4  2:5",
    "3-4  3:7\n1-2  2:5",
    "1-4  3:7\n6    3:5",
    "1-4  5:16b99",
    "1-4  3:5h7+3:5h8 3:5h7b9+3:14h15b17",
    "1-4  3:7 b9pb10 r9pb10~r7",
    "1-4  3:5 h3:x b7r5 -",
    f"1-4  3:7[trill {'9' * 400}]",
    "1-2? =D4 3:? ?? h?\n3-4  3:7b=E4 =E4?=F4 3:=D4 ??*3",
    "1-4  3:7\n\nbar 3  meter 64/1\n1-64  3:5 3:7 3:8\n\nbar 4  free 600s\n1  (3:5 3:7 3:8)*64 3:5",
)
"""Bars that broke some command once."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A repository with an empty collection, where commands run."""
    folder = tmp_path_factory.mktemp("collection")
    repository = new_repository(folder)
    repository.git("commit", "-qm", "nothing yet", "--allow-empty")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        yield folder


def write(folder: Path, solo: str, other: str) -> tuple[Path, Path]:
    """Two versions of a solo in the collection of a folder."""
    paths = folder / "transcriptions" / "dusk.solo", folder / "transcriptions" / "dawn.solo"
    paths[0].parent.mkdir(exist_ok=True)
    for path, text in zip(paths, (solo, other), strict=True):
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
    return paths


@pytest.mark.parametrize("draft", ["", "draft: yes\n"])
@pytest.mark.parametrize("lines", FOUND, ids=lambda lines: lines[:40])
def test_bars_that_broke_a_command_once(folder: Path, lines: str, draft: str) -> None:
    text = f"{HEAD.format('4/4')}{draft}\nbar 1  E7\n1-4  1:7\n\nbar 2  Am\n{lines}\n"
    drive(*write(folder, text, text.replace("1-4  1:7", "1-4  1:4")), Random(0))


@settings(max_examples=share(60))
@given(SEEDS)
def test_solos_in_a_hand_s_reach(folder: Path, seed: int) -> None:
    dice = Random(seed)
    text = thrown(dice)
    drive(*write(folder, text, slipped(text, dice, 1)), dice, MOST)


@settings(max_examples=share(100))
@given(SEEDS)
def test_solos_with_slips(folder: Path, seed: int) -> None:
    dice = Random(seed)
    text = any_solo(dice)
    drive(*write(folder, text, dice.choice((slipped(text, dice, 2), any_solo(dice)))), dice, MOST)


@settings(max_examples=share(16))
@given(SEEDS)
def test_reviews(tmp_path_factory: pytest.TempPathFactory, seed: int) -> None:
    dice = Random(seed)
    folder = tmp_path_factory.mktemp("review")
    repository = new_repository(folder)
    text = any_solo(dice)
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        review(repository, *write(folder, text, slipped(text, dice, 2)))


@settings(max_examples=share(60))
@given(SEEDS)
def test_a_drafted_lesson_says_what_is_true(folder: Path, seed: int) -> None:
    solo, _ = write(folder, thrown(Random(seed)), "")
    if has_errors(solo):
        return
    lesson = solo.with_suffix(".md")
    lesson.write_text(tabtools("annotate", solo, "--lesson").out, encoding="utf-8")
    assert not has_errors(solo), lesson.read_text(encoding="utf-8")
    lesson.unlink()
