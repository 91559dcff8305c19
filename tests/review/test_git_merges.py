"""Merges by git itself: with the driver, without it, with one that is missing, crashes or takes too long."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest
from click.testing import CliRunner
from git_repositories import DUSK as TWO_BARS
from git_repositories import SOLO, GitRepository, new_repository, tabtools
from made_merges import MadeMerge, colliding, disjoint
from made_solos import version
from thoroughness import crossed, share

from tabtools.cli import main
from tabtools.notation.write import canonical
from tabtools.review import setup
from tabtools.review.merging.text import decided

DUSK = f"""\
{TWO_BARS}
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


@pytest.mark.parametrize("made", [*map(disjoint, range(share(8))), *map(colliding, range(share(12)))])
def test_the_driver_in_git(repository: GitRepository, made: MadeMerge) -> None:
    collides = made.decided_for_ours != made.decided_for_theirs
    status, text = merge_of(with_driver(repository), *made[:3])
    assert status == (1 if collides else 0)
    assert has_markers(text) == collides
    assert canonical(version(decided(text, "ours")).solo) == made.decided_for_ours
    assert canonical(version(decided(text, "theirs")).solo) == made.decided_for_theirs


@pytest.mark.parametrize(("made", "how"), crossed([*map(disjoint, (1, 2)), *map(colliding, (0, 1, 9, 10))], BROKEN))
def test_no_side_is_dropped_without_the_driver(repository: GitRepository, how: str, made: MadeMerge) -> None:
    status, text = merge_of(with_driver(repository, DRIVERS[how]), *made[:3])
    if status == 0:
        assert text in (made.decided_for_ours, made.decided_for_theirs)
    else:
        assert has_markers(text)
        for side in (made.ours, made.theirs):
            assert set(side.splitlines()) - set(made.base.splitlines()) <= set(text.splitlines())


# ---- the ways corrections come together


def changed(*changes: tuple[str, str], text: str = DUSK) -> str:
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text


def test_without_a_driver_neighbouring_beats_are_a_conflict_that_the_driver_merges(repository: GitRepository) -> None:
    ours, theirs = changed(("2    2:6 2:8", "2    2:6 2:9")), changed(("1    3:7 3:9", "1    3:7 3:10"))
    status, text = merge_of(repository, DUSK, ours, theirs)
    assert status == 1
    assert has_markers(text)
    repository.git("merge", "--abort")
    with_driver(repository)
    ours_commit = repository.git("rev-parse", "--short=8", "main").strip()
    look = f"tabtools diff {ours_commit} {SOLO}"
    said = repository.git("merge", "--quiet", "theirs").splitlines()
    assert f"{SOLO}: 1 bar merged; to look at them: {look}" in said
    shown = tabtools(repository.folder, *look.split()[1:])
    assert (shown.returncode, "bar 2  G7" in shown.stdout, "2.1.2" in shown.stdout) == (3, True, True)
    assert repository.read() == changed(("2    2:6 2:8", "2    2:6 2:9"), ("1    3:7 3:9", "1    3:7 3:10"))


def test_a_rebase(repository: GitRepository) -> None:
    with_driver(repository)
    repository.branch("correction", changed(("1    3:7 3:9", "1    3:7 3:10")))
    repository.commit(changed(("1    3:7 3:9", "1    3:7 3:10"), ("3    1:8 -", "3    1:8 1:7")), "another")
    repository.git("checkout", "--quiet", "main")
    repository.commit(changed(("2    2:6 2:8", "2    2:6 2:9"), ("126", "130"), ("bar 1  Dm7", "bar 1  Dm9")), "ours")
    repository.git("rebase", "--quiet", "main", "correction")
    assert repository.read() == changed(
        ("2    2:6 2:8", "2    2:6 2:9"), ("126", "130"), ("bar 1  Dm7", "bar 1  Dm9"),
        ("1    3:7 3:9", "1    3:7 3:10"), ("3    1:8 -", "3    1:8 1:7"),
    )  # fmt: skip


def test_a_cherry_pick_into_a_solo_counted_otherwise(repository: GitRepository) -> None:
    with_driver(repository)
    repository.branch("correction", changed(("2    2:8 1:7", "2    2:8 1:8")))
    repository.git("checkout", "--quiet", "main")
    more = changed(("bar 3  C", "bar 4  C"), ("bar 2  G7", "bar 3  G7"), ("bar 1", "bar 1  Em7\n1-4  4:2\n\nbar 2"))
    repository.commit(more, "a bar more")
    repository.git("cherry-pick", "correction")
    assert repository.read() == changed(("2    2:8 1:7", "2    2:8 1:8"), text=more)


def test_an_octopus_of_corrections_to_different_bars(repository: GitRepository) -> None:
    """Git merges more than two heads with its own merge of texts, whatever the driver; bars lie far enough apart."""
    with_driver(repository)
    changes = [("3    1:5 -", "3    1:5 1:4"), ("3    1:7 -", "3    1:7 1:6"), ("3    1:8 -", "3    1:8 1:7")]
    for number, change in enumerate(changes):
        repository.branch(f"correction-{number}", changed(change))
    repository.git("checkout", "--quiet", "main")
    repository.git("merge", "--quiet", *(f"correction-{number}" for number in range(3)))
    assert repository.read() == changed(*changes)


def test_an_octopus_that_touches_one_bar_comes_together_one_by_one(repository: GitRepository) -> None:
    with_driver(repository)
    changes = [("1    3:5 3:7", "1    3:5 3:8"), ("2    2:5 2:8", "2    2:5 2:9"), ("3    1:5 -", "3    1:5 1:4")]
    for number, change in enumerate(changes):
        repository.branch(f"correction-{number}", changed(change))
    repository.git("checkout", "--quiet", "main")
    for number in range(3):
        repository.git("merge", "--quiet", f"correction-{number}")
    assert repository.read() == changed(*changes)


def test_a_rename_along_with_a_correction(repository: GitRepository) -> None:
    with_driver(repository)
    repository.branch("correction", changed(("1    3:7 3:9", "1    3:7 3:10")))
    repository.git("checkout", "--quiet", "main")
    repository.git("mv", SOLO, "transcriptions/ferry-at-dusk.solo")
    repository.commit(changed(("2    2:6 2:8", "2    2:6 2:9")), "a better name", "transcriptions/ferry-at-dusk.solo")
    repository.git("merge", "--quiet", "correction")
    assert repository.read("transcriptions/ferry-at-dusk.solo") == changed(
        ("2    2:6 2:8", "2    2:6 2:9"), ("1    3:7 3:9", "1    3:7 3:10")
    )


def test_both_add_the_file(tmp_path: Path) -> None:
    repository = with_driver(new_repository(tmp_path / "solos"))
    repository.write(f"{setup.ATTRIBUTES}\n", setup.ATTRIBUTES_FILE)
    repository.commit(message="attributes")
    repository.branch("theirs", changed(("2    2:6 2:8", "2    2:6 2:9")))
    repository.git("checkout", "--quiet", "main")
    repository.commit(changed(("126", "130")), "ours")
    assert repository.status("merge", "--quiet", "theirs") == 1
    text = repository.read()
    assert canonical(version(decided(text, "ours")).solo) == changed(("126", "130"))
    assert canonical(version(decided(text, "theirs")).solo) == changed(("2    2:6 2:8", "2    2:6 2:9"))


def test_a_criss_cross_of_colliding_corrections_keeps_both(repository: GitRepository) -> None:
    with_driver(repository)
    note = "2    2:6 2:8"
    repository.branch("theirs", changed((note, "2    2:6 2:9")))
    repository.git("checkout", "--quiet", "main")
    repository.commit(changed((note, "2    2:6 2:7")), "ours")
    first, second = (repository.git("rev-parse", name).strip() for name in ("main", "theirs"))
    for name, other, kept in (("main", second, "2    2:6 2:7"), ("theirs", first, "2    2:6 2:9")):
        repository.git("checkout", "--quiet", name)
        assert repository.status("merge", "--quiet", other) == 1
        repository.commit(changed((note, kept)), "decided")
    assert repository.status("merge", "--quiet", "main") == 1
    text = repository.read()
    assert has_markers(text)
    assert "2    2:6 2:7" in text
    assert "2    2:6 2:9" in text


def test_a_side_that_cannot_be_read_is_merged_line_by_line(repository: GitRepository) -> None:
    with_driver(repository)
    status, text = merge_of(repository, DUSK, changed(("126", "130")), changed(("    - .", "    - . what is this")))
    assert status == 0
    assert text == changed(("126", "130"), ("    - .", "    - . what is this"))


def test_markers_and_base_as_git_is_told(repository: GitRepository) -> None:
    with_driver(repository)
    repository.set("merge.conflictStyle", "diff3")
    repository.write(f"{setup.ATTRIBUTES} conflict-marker-size=11\n", setup.ATTRIBUTES_FILE)
    status, text = merge_of(repository, DUSK, changed(("126", "130")), changed(("126", "120")))
    assert status == 1
    assert [line for line in text.splitlines() if line[:11] in ("<" * 11, "|" * 11, "=" * 11, ">" * 11)] == [
        f"{'<' * 11} ours: tempo", f"{'|' * 11} base: tempo", "=" * 11, f"{'>' * 11} theirs: tempo",
    ]  # fmt: skip


def test_the_driver_gives_up_in_time_and_writes_nothing(tmp_path: Path) -> None:
    fifo, ours, theirs = tmp_path / "base", tmp_path / "ours", tmp_path / "theirs"
    os.mkfifo(fifo)
    ours.write_text(DUSK)
    theirs.write_text(changed(("126", "130")))
    done = tabtools(tmp_path, "git", "merge-driver", "--timeout", "0.3", "base", "ours", "theirs", "7", "dusk.solo")
    assert done.returncode not in (0, setup.CONFLICTS)
    assert ours.read_text() == DUSK


def test_the_driver_that_is_done_ends_nothing_later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("base", "ours", "theirs"):
        (tmp_path / name).write_text(DUSK)
    done = CliRunner().invoke(main, ["git", "merge-driver", "base", "ours", "theirs", "7", "dusk.solo"])
    assert done.exit_code == 0, done.output
    assert signal.getitimer(signal.ITIMER_REAL)[0] == 0
