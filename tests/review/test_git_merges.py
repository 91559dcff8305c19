"""Merges by git itself: with the driver, without it, with one that is missing, crashes or takes too long."""

from __future__ import annotations

from pathlib import Path

import pytest
from git_repositories import GitRepository, new_repository
from made_merges import MadeMerge, colliding, disjoint
from made_solos import version

from tabtools.notation.write import canonical
from tabtools.review import setup
from tabtools.review.merging.text import decided

DUSK = """\
title:        Ferry at Dusk
player:       Ida Marlow
recording:    slipway tape
rights:       CC0-1.0
meter:        4/4
tempo:        126

bar 1  Dm7
1    3:5 3:7
2    2:5 2:8
3    1:5 -
4    1:8 1:7

bar 2  G7
1    3:7 3:9
2    2:6 2:8
3    1:7 -
4    1:10 1:8

bar 3  Cmaj7
1    3:9 -
2    2:8 1:7
3    1:8 -
4    - .
"""

MISSING = setup.settings()["merge.solo.driver"].replace(setup.program(), "/nowhere/python -P -m tabtools")
NO_PACKAGE = setup.settings()["merge.solo.driver"].replace("-m tabtools", "-m tabtools_that_is_not_there")
KILLED = setup.settings()["merge.solo.driver"].replace(setup.program(), "sh -c 'kill -9 $$'")
TOO_SLOW = setup.settings()["merge.solo.driver"].replace("merge-driver", "merge-driver --timeout 0.001")
DRIVERS = {
    "with the driver": setup.settings()["merge.solo.driver"],
    "without": None,
    "missing": MISSING,
    "without its package": NO_PACKAGE,
    "crashing": KILLED,
    "timing out": TOO_SLOW,
}
BROKEN = [name for name in DRIVERS if name != "with the driver"]


@pytest.fixture
def repository(tmp_path: Path) -> GitRepository:
    """A repository with the attributes of `tabtools git install`, without its settings."""
    found = new_repository(tmp_path / "solos")
    found.write(f"{setup.ATTRIBUTES}\n", setup.ATTRIBUTES_FILE)
    found.commit(DUSK, "the first transcription")
    return found


def with_driver(repository: GitRepository, driver: str | None = DRIVERS["with the driver"]) -> GitRepository:
    if driver is not None:
        repository.set("merge.solo.driver", driver)
    return repository


def has_markers(text: str) -> bool:
    return all(f"\n{sign * 7}" in f"\n{text}" for sign in "<=>")


def merge_of(repository: GitRepository, base: str, ours: str, theirs: str) -> tuple[int, str]:
    """Status and outcome of `git merge`."""
    repository.commit(base, "base")
    repository.branch("theirs", theirs)
    repository.git("checkout", "--quiet", "main")
    repository.commit(ours, "ours")
    status = repository.status("merge", "--quiet", "theirs")
    return status, repository.read()


# ---- made-up merges


@pytest.mark.parametrize("made", [*map(disjoint, range(8)), *map(colliding, range(12))])
def test_the_driver_in_git(repository: GitRepository, made: MadeMerge) -> None:
    collides = made.decided_for_ours != made.decided_for_theirs
    status, text = merge_of(with_driver(repository), *made[:3])
    assert status == (1 if collides else 0)
    assert has_markers(text) == collides
    assert canonical(version(decided(text, "ours")).solo) == made.decided_for_ours
    assert canonical(version(decided(text, "theirs")).solo) == made.decided_for_theirs


@pytest.mark.parametrize("made", [*map(disjoint, (1, 2)), *map(colliding, (0, 1, 9, 10))])
@pytest.mark.parametrize("how", BROKEN)
def test_no_side_is_dropped_without_the_driver(repository: GitRepository, how: str, made: MadeMerge) -> None:
    status, text = merge_of(with_driver(repository, DRIVERS[how]), *made[:3])
    if status == 0:
        assert text in (made.decided_for_ours, made.decided_for_theirs)
    else:
        assert has_markers(text)
        for side in (made.ours, made.theirs):
            assert set(side.splitlines()) - set(made.base.splitlines()) <= set(text.splitlines())
