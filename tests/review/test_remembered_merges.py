"""What history tells of merges, by git itself: what a branch brought once, what a merge made itself under the merge."""

from __future__ import annotations

from pathlib import Path

import pytest
from git_repositories import ENVIRONMENT, SOLO, GitRepository, new_repository
from test_git_merges import DUSK, changed
from test_history import entries, past

OURS, THEIRS = ("1    3:5 3:7", "1    3:5 3:8"), ("4    - .", "4    - 1:5")
SAME_BAR = ("4    1:8 1:7", "4    1:8 1:6")
OWN = ("3    1:7 -", "3    1:7 1:6")


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    return new_repository(tmp_path / "solos", DUSK)


def told(repository: GitRepository, name: str = SOLO) -> dict[str, str]:
    """What is told by the subjects of the commits; no subject may be told twice."""
    found = [(one.commit.subject, one.told.summary) for one in entries(repository, name) if one.told is not None]
    assert len({subject for subject, _ in found}) == len(found)
    return dict(found)


def merged(repository: GitRepository, ours: str, theirs: str, outcome: str | None = None) -> None:
    """A branch is merged that someone else corrected; `outcome` is what the merge makes of it by hand."""
    repository.branch("theirs", theirs)
    repository.git("checkout", "--quiet", "main")
    if ours != DUSK:
        repository.commit(ours, "ours")
    repository.git("merge", "--quiet", "--no-ff", "--no-commit", "theirs", fine=(0, 1))
    repository.commit(outcome, "the merge")


def test_a_suggestion_that_is_merged_is_told_once(repository: GitRepository) -> None:
    merged(repository, DUSK, changed(THEIRS))
    assert list(told(repository)) == ["theirs corrects"]


def test_corrections_of_both_sides_are_told_once_each(repository: GitRepository) -> None:
    merged(repository, changed(OURS), changed(THEIRS))
    assert repository.read() == changed(OURS, THEIRS)
    assert set(told(repository)) == {"ours", "theirs corrects"}


def test_corrections_of_one_bar_that_come_together_are_not_told_again(repository: GitRepository) -> None:
    merged(repository, changed(OURS), changed(SAME_BAR), changed(OURS, SAME_BAR))
    assert set(told(repository)) == {"ours", "theirs corrects"}


def test_what_a_merge_makes_itself_is_told_under_the_merge(repository: GitRepository) -> None:
    merged(repository, changed(OURS), changed(THEIRS), changed(OURS, THEIRS, OWN))
    found = told(repository)
    assert set(found) == {"ours", "theirs corrects", "the merge"}
    assert found["the merge"] == "other rhythm (bar 2); 1 note added (bar 2)"
    (merge,) = (one for one in entries(repository) if one.commit.subject == "the merge")
    assert merge.bars == (2,)


def test_what_a_merge_makes_itself_of_a_bar_that_a_side_brought_is_told(repository: GitRepository) -> None:
    longer = f"{DUSK}\nbar 4  Am7\n1-4  3:2\n"
    merged(repository, changed(OURS), longer, changed(OURS, text=longer.replace("1-4  3:2", "1-4  3:5")))
    assert told(repository)["the merge"] == "1 note to another pitch (bar 4)"


def test_a_conflict_that_is_decided_for_a_third_is_told(repository: GitRepository) -> None:
    third = (OURS[0], "1    3:5 3:10")
    merged(repository, changed(OURS), changed((OURS[0], "1    3:5 3:9")), changed(third))
    assert told(repository)["the merge"] == "1 note to another pitch (bar 1)"


def test_a_conflict_that_is_decided_for_a_side_is_nothing_new(repository: GitRepository) -> None:
    merged(repository, changed(OURS), changed((OURS[0], "1    3:5 3:9")), changed(OURS))
    assert "the merge" not in told(repository)


def test_a_bar_that_a_merge_drops_is_told(repository: GitRepository) -> None:
    short = changed(OURS, THEIRS).partition("\nbar 2")[0] + "\nbar 2" + changed(THEIRS).partition("bar 3")[2]
    merged(repository, changed(OURS), changed(THEIRS), short)
    assert "1 bar gone" in told(repository)["the merge"]


def test_a_header_that_a_merge_changes_is_told(repository: GitRepository) -> None:
    merged(repository, changed(OURS), changed(THEIRS), changed(OURS, THEIRS, ("126", "120")))
    assert told(repository)["the merge"] == "header (tempo)"


def test_markers_that_are_committed_are_said_to_be_no_music(repository: GitRepository) -> None:
    merged(repository, changed(OURS), changed((OURS[0], "1    3:5 3:9")))
    assert "<<<<<<<" in repository.read()
    assert [one.commit.subject for one in entries(repository) if one.told and not one.told.is_readable] == ["the merge"]


def test_a_branch_that_a_merge_left_out_is_not_told(repository: GitRepository) -> None:
    repository.branch("theirs", changed(THEIRS))
    repository.git("checkout", "--quiet", "main")
    repository.commit(changed(OURS), "ours")
    repository.git("merge", "--quiet", "-s", "ours", "--no-edit", "theirs")
    assert list(told(repository)) == ["ours"]


def test_a_correction_of_a_solo_that_was_renamed_meanwhile_belongs_to_it(repository: GitRepository) -> None:
    name = "transcriptions/evening.solo"
    repository.branch("theirs", changed(THEIRS))
    repository.git("checkout", "--quiet", "main")
    repository.git("mv", SOLO, name)
    repository.commit(message="renamed")
    repository.git("merge", "--quiet", "--no-edit", "theirs")
    assert list(told(repository, name)) == ["theirs corrects"]
    assert entries(repository, name)[-1].is_new
    assert set(past(repository).of_solos) == {name}


def test_an_octopus_is_told_branch_by_branch(repository: GitRepository) -> None:
    for number, change in enumerate((OURS, OWN, THEIRS)):
        repository.branch(f"b{number}", changed(change))
    repository.git("checkout", "--quiet", "main")
    repository.git("merge", "--quiet", "--no-edit", "b0", "b1", "b2")
    assert repository.read() == changed(OURS, OWN, THEIRS)
    assert set(told(repository)) == {"b0 corrects", "b1 corrects", "b2 corrects"}


def test_an_octopus_that_makes_something_itself(repository: GitRepository) -> None:
    for number, change in enumerate((OURS, THEIRS)):
        repository.branch(f"b{number}", changed(change))
    repository.git("checkout", "--quiet", "main")
    repository.commit("x\n", "another file", "notes.txt")
    repository.git("merge", "--quiet", "--no-commit", "b0", "b1")
    repository.commit(changed(OURS, THEIRS, OWN), "the merge")
    assert len(repository.git("log", "-1", "--format=%P").split()) == 3
    assert told(repository)["the merge"] == "other rhythm (bar 2); 1 note added (bar 2)"


def test_what_was_picked_before_it_was_merged_is_told_once(repository: GitRepository) -> None:
    repository.branch("theirs", changed(THEIRS))
    repository.git("checkout", "--quiet", "main")
    repository.commit(changed(OURS), "ours")
    repository.git("cherry-pick", "theirs")
    repository.git("merge", "--quiet", "--no-edit", "theirs")
    assert set(told(repository)) == {"ours", "theirs corrects"}


def test_a_solo_that_a_merge_brings_itself_is_new(repository: GitRepository) -> None:
    repository.branch("theirs", changed(THEIRS))
    repository.git("checkout", "--quiet", "main")
    repository.commit(changed(OURS), "ours")
    repository.git("merge", "--quiet", "--no-commit", "theirs")
    repository.commit(changed(OWN), "the merge", "transcriptions/dawn.solo")
    assert [one.is_new for one in entries(repository, "transcriptions/dawn.solo")] == [True]


def test_bars_are_numbered_as_they_are_now_through_merges(repository: GitRepository) -> None:
    more = changed(("bar 3  C", "bar 4  C"), ("bar 2  G7", "bar 3  G7"), ("bar 1", "bar 1  Em7\n1-4  4:2\n\nbar 2"))
    merged(repository, more, changed(THEIRS), changed(THEIRS, text=more))
    assert {one.commit.subject: one.bars for one in entries(repository) if one.told} == {
        "ours": (1,),
        "theirs corrects": (4,),
    }
    repository.write(changed(THEIRS, text=more).replace("bar 1  Em7\n1-4  4:2\n\n", ""))
    assert {one.commit.subject: one.bars for one in entries(repository) if one.told} == {
        "ours": (),
        "theirs corrects": (4,),
    }
