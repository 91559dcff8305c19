"""A solo and its lesson in one correction, a commit sent as a patch, and what is written without a commit."""

from __future__ import annotations

from pathlib import Path

import pytest
from git_repositories import BETTER, SOLO, GitRepository
from patches import LESSON, PATCH, applied, refuse_commits, repository_in, saved, state

from tabtools.review.patch import suggestion


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    return repository_in(tmp_path, monkeypatch)


BETTER_LESSON = "Climbs to `@2.2.2 A4`, and ends on `@2.4 8 notes`.\n"
BOTH = PATCH + suggestion("Ends on `@2.4 8 notes`.\n", BETTER_LESSON, LESSON).partition("\n\n")[2]


def formatted(repository: GitRepository, message: str, author: str = "Nell Quayle") -> str:
    """What `git format-patch` makes of both files changed in a commit on another branch."""
    repository.git("switch", "-qc", "correction")
    repository.write(BETTER)
    repository.write(BETTER_LESSON, LESSON)
    repository.git("commit", "-qam", message, f"--author={author} <n@quay.example>")
    patch = repository.git("format-patch", "-1", "--stdout")
    repository.git("switch", "-q", "-")
    return patch


def test_a_solo_and_its_lesson_are_one_correction(repository: GitRepository) -> None:
    done = applied(repository, BOTH, "--yes")
    assert done.exit_code == 0, done.stderr
    assert repository.read() == BETTER
    assert repository.read(LESSON) == BETTER_LESSON
    assert sorted(repository.git("show", "--name-only", "--format=").split()) == [LESSON, SOLO]
    assert applied(repository, BOTH, "--yes").exit_code == 2


def test_a_patch_of_a_commit_keeps_its_author_and_reason(repository: GitRepository) -> None:
    message = (
        "A higher note\n\nThe tape has it twice.\n\nListen at 0:42.\n\nSigned-off-by: Nell Quayle <n@quay.example>"
    )
    done = applied(repository, formatted(repository, message, "Nêll Quayle"), "--yes")
    assert done.exit_code == 0, done.stderr
    assert repository.git("log", "-1", "--format=%B").strip().split("\n\n", 1)[1] == (
        "> A higher note\n>\n> The tape has it twice.\n>\n> Listen at 0:42.\n\nSuggested-by: Nêll Quayle"
    )
    assert repository.git("log", "-1", "--format=%an") == "Ida Marlow\n"
    assert "quay.example" not in repository.git("log", "-1", "--format=%B")


def test_nothing_of_a_pair_is_written_where_one_does_not_fit(repository: GitRepository) -> None:
    patch = PATCH + suggestion("Another text.\n", BETTER_LESSON, LESSON).partition("\n\n")[2]
    saved(repository, patch)
    before = state(repository)
    assert applied(repository, patch, "--yes").exit_code == 2
    assert state(repository) == before


def test_another_solo_s_lesson_goes_with_nothing(repository: GitRepository) -> None:
    other = suggestion("a\n", "b\n", "transcriptions/dawn.md").partition("\n\n")[2]
    done = applied(repository, PATCH + other, "--yes")
    assert (done.exit_code, "more than one solo" in done.stderr) == (2, True)


def test_what_makes_the_lesson_false_is_written_without_a_commit(repository: GitRepository) -> None:
    repository.commit("Turns on `@2.2.2 G4`.\n", "another lesson", LESSON)
    head = repository.git("rev-parse", "HEAD")
    refused = applied(repository, PATCH, "--yes")
    assert refused.exit_code == 1
    assert "--no-commit writes it to the files" in refused.stderr
    done = applied(repository, PATCH, "--no-commit")
    assert done.exit_code == 0, done.stderr
    assert f"written, not committed; mend what it breaks, then: git commit {SOLO}\n" in done.stdout
    assert repository.git("rev-parse", "HEAD") == head
    assert repository.read() == BETTER
    repository.write("Turns on `@2.2.2 A4`.\n", LESSON)
    repository.git("commit", "-qa")
    assert repository.git("log", "-1", "--format=%(trailers)").strip() == "Suggested-by: Nell Quayle"
    assert repository.git("log", "-1", "--format=%B").startswith("dusk: 1 note to another pitch (bar 2)\n\n> The tape")


def test_words_that_wait_for_another_commit_are_left(repository: GitRepository) -> None:
    waiting = repository.folder / ".git" / "MERGE_MSG"
    waiting.write_text("other words\n", encoding="utf-8")
    done = applied(repository, PATCH, "--no-commit")
    assert "its words, as git keeps others for the next commit:\n\ndusk: 1 note" in done.stdout
    assert waiting.read_text(encoding="utf-8") == "other words\n"


def test_one_who_is_asked_commits_no_errors(repository: GitRepository) -> None:
    repository.commit("Turns on `@2.2.2 G4`.\n", "another lesson", LESSON)
    head = repository.git("rev-parse", "HEAD")
    done = applied(repository, PATCH, text="y\n")
    assert "Write it to the files without a commit" in done.stdout
    assert (done.exit_code, repository.git("rev-parse", "HEAD"), repository.read()) == (0, head, BETTER)


@pytest.mark.parametrize("asked", [("--yes",), ()])
def test_errors_are_committed_where_that_is_said(repository: GitRepository, asked: tuple[str, ...]) -> None:
    repository.commit("Turns on `@2.2.2 G4`.\n", "another lesson", LESSON)
    assert applied(repository, PATCH, "--with-errors", *asked, text="y\n").exit_code == 0
    assert repository.git("status", "--porcelain") == ""


def test_the_pair_is_finished_where_it_was_broken_off_between_the_files(repository: GitRepository) -> None:
    repository.write(BETTER)
    done = applied(repository, BOTH, "--yes")
    assert done.exit_code == 0, done.stderr
    assert repository.read(LESSON) == BETTER_LESSON
    assert repository.git("status", "--porcelain") == ""


def test_a_hook_that_refuses_leaves_both_files_as_they_were(repository: GitRepository) -> None:
    refuse_commits(repository)
    saved(repository, BOTH)
    before = state(repository)
    assert applied(repository, BOTH, "--yes").exit_code == 2
    assert state(repository) == before
