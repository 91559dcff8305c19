"""lint and todo keep what they found in each of many solos, and nothing where it is told so."""

from __future__ import annotations

from pathlib import Path

import pytest
from invoked import SHORT_BAR, SOUND, tabtools, write

from tabtools.cli.checking import FEWEST_TO_KEEP


@pytest.fixture
def kept(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the results of ten solos, one of them with an error, are kept."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder / "cache"))
    write(folder / "solos", **{f"solo_{number}": SOUND for number in range(FEWEST_TO_KEEP - 1)}, short=SHORT_BAR)
    return folder / "cache" / "tabtools" / "results-1.sqlite"


def test_what_was_found_is_kept_and_reported_again(kept: Path) -> None:
    first = tabtools("lint", "solos")
    assert kept.exists()
    assert tabtools("lint", "solos") == first
    assert (first.status, first.out.splitlines()[-1]) == (1, "1 error in 1 of 10 solos")


def test_nothing_is_kept_where_nothing_is_to_be(kept: Path) -> None:
    first = tabtools("lint", "--no-cache", "solos")
    assert not kept.exists()
    assert tabtools("lint", "solos") == first


def test_few_solos_are_not_kept(kept: Path) -> None:
    tabtools("lint", "solos/short.solo", "solos/solo-1.solo")
    assert not kept.exists()


def test_what_is_open_is_kept_and_told_anew_of_what_changed(kept: Path, folder: Path) -> None:
    first = tabtools("todo", "solos")
    assert kept.exists()
    assert tabtools("todo", "solos") == first
    assert first.out.splitlines()[1].split() == ["short", "1", "1", "1", "1", "0", "0"]
    (folder / "solos" / "short.md").write_text("All of it: `@1 A4`.\n", encoding="utf-8")
    assert tabtools("todo", "solos").out.splitlines()[1].split() == ["short", "1", "1", "1", "1", "1", "0"]
    short = folder / "solos" / "short.solo"
    short.write_text(short.read_text(encoding="utf-8").replace("3:5", "?"), encoding="utf-8")
    assert tabtools("todo", "solos").out.splitlines()[1].split() == ["short", "1", "0", "0", "0", "1", "1"]
