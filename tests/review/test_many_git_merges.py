"""Made-up merges by git itself, where the driver does not work: no side is lost in any of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from git_repositories import GitRepository, new_repository
from made_merges import MadeMerge, colliding, disjoint
from test_git_merges import DRIVERS, has_markers
from thoroughness import share

from tabtools.review import setup

DISJOINT, COLLIDING = share(270), share(240)
STOPPED_BY_ITS_TIMER = setup.settings()["merge.solo.driver"].replace(setup.program(), "sh -c 'kill -ALRM $$'")
"""What the driver's timer does to it; by the driver's own timer a few are merged elsewhere."""
WAYS = {name: DRIVERS[name] for name in ("without", "missing", "crashing")} | {"timing out": STOPPED_BY_ITS_TIMER}


@pytest.fixture(scope="module")
def made() -> dict[str, MadeMerge]:
    merges = [*map(disjoint, range(DISJOINT)), *map(colliding, range(COLLIDING))]
    return {f"transcriptions/made-{number}.solo": one for number, one in enumerate(merges)}


@pytest.fixture
def repository(tmp_path: Path, made: dict[str, MadeMerge]) -> GitRepository:
    """A solo for each merge, corrected on `ours` and on `theirs`."""
    found = new_repository(tmp_path / "solos")
    found.write(f"{setup.ATTRIBUTES}\n", setup.ATTRIBUTES_FILE)
    for branch in ("base", "theirs", "ours"):
        found.git("checkout", "--quiet", "-b", branch, *(["base"] if branch != "base" else []))
        for name, one in made.items():
            found.write(getattr(one, branch), name)
        found.commit(message=branch)
    return found


def test_no_side_is_lost(repository: GitRepository, made: dict[str, MadeMerge]) -> None:
    for way, driver in WAYS.items():
        if driver is not None:
            repository.set("merge.solo.driver", driver)
        assert repository.status("merge", "--quiet", "theirs") == 1
        unmerged = set(repository.git("diff", "--name-only", "--diff-filter=U").split())
        for name, one in made.items():
            text = repository.read(name)
            assert (name in unmerged) == has_markers(text), (way, name)
            for side in (one.ours, one.theirs):
                assert set(side.splitlines()) - set(one.base.splitlines()) <= set(text.splitlines()), (way, name)
        repository.git("merge", "--abort")
