"""Taking a correction that is broken off, or that git fails at: nothing is lost, and it can be finished."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, GitRepository
from patches import PATCH, applied, repository_in, saved, state

from tabtools.cli import main
from tabtools.review.git import GitError
from tabtools.review.patch import suggestion


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    return repository_in(tmp_path, monkeypatch)


KILLED = """\
import os, sys
from tabtools.review import apply_patch
apply_patch.commit = lambda *arguments: os.kill(os.getpid(), 9)
from tabtools.cli import main
main()
"""
KILLING_HOOK = "#!/bin/sh\nread _ _ _ parent _ < /proc/$PPID/stat\nkill -9 $parent $PPID\n"


def killed(repository: GitRepository) -> None:
    """A correction that is written, and tabtools killed before it is committed."""
    command = [sys.executable, "-P", "-c", KILLED, "apply", str(saved(repository, PATCH)), "--yes"]
    done = subprocess.run(command, cwd=repository.folder, env=ENVIRONMENT, capture_output=True, check=False)
    assert done.returncode == -9


def finished(repository: GitRepository) -> None:
    """The correction is committed with its credit, and nothing is left over."""
    assert repository.read() == BETTER
    assert repository.git("status", "--porcelain") == ""
    assert repository.git("log", "-1", "--format=%(trailers)").strip() == "Suggested-by: Nell Quayle"
    assert repository.git("rev-list", "--count", "HEAD").strip() == "3"
    assert not (repository.folder / ".git" / "tabtools-correction.patch").exists()


def test_killed_before_the_commit_git_shows_it_and_the_same_patch_finishes_it(repository: GitRepository) -> None:
    killed(repository)
    assert repository.git("status", "--porcelain") == f" M {SOLO}\n"
    assert repository.read() == BETTER
    done = applied(repository, PATCH, "--yes")
    assert done.exit_code == 0, done.stderr
    assert "broken off before the commit" in done.stdout
    assert "2:8 G4, 1 of G7 → 2:10 A4, 2 of G7" in done.stdout
    finished(repository)


def test_killed_before_the_commit_any_other_patch_says_how_to_finish_it(repository: GitRepository) -> None:
    killed(repository)
    other = suggestion(DUSK, DUSK.replace("3    1:5 -", "3    1:5 1:6"), SOLO)
    before = state(repository)
    done = applied(repository, other, "--yes")
    assert done.exit_code == 2 and state(repository) == before
    assert f"tabtools apply .git/tabtools-correction.patch finishes it, git checkout -- {SOLO} drops it" in done.stderr
    command = ["apply", ".git/tabtools-correction.patch", "--yes"]
    assert CliRunner().invoke(main, command, catch_exceptions=False).exit_code == 0
    finished(repository)
    assert applied(repository, other, "--yes").exit_code == 0


def test_killed_and_dropped_it_is_forgotten(repository: GitRepository) -> None:
    killed(repository)
    repository.git("checkout", "--", SOLO)
    other = suggestion(DUSK, DUSK.replace("3    1:5 -", "3    1:5 1:6"), SOLO)
    assert applied(repository, other, "--yes").exit_code == 0


def test_killed_along_with_git_says_which_lock_is_left(repository: GitRepository) -> None:
    hook = repository.folder / ".git" / "hooks" / "pre-commit"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text(KILLING_HOOK, encoding="utf-8")
    hook.chmod(0o755)
    command = [sys.executable, "-P", "-m", "tabtools", "apply", str(saved(repository, PATCH)), "--yes"]
    done = subprocess.run(command, cwd=repository.folder, env=ENVIRONMENT, capture_output=True, check=False)
    assert done.returncode == -9
    hook.unlink()
    said = applied(repository, PATCH, "--yes")
    assert said.exit_code == 2
    assert "another git is at work here, or one was broken off" in said.stderr and "index.lock" in said.stderr
    (repository.folder / ".git" / "index.lock").unlink()
    assert applied(repository, PATCH, "--yes").exit_code == 0
    finished(repository)


def test_a_correction_that_is_there_already_is_said_to_be(repository: GitRepository) -> None:
    assert applied(repository, PATCH, "--yes").exit_code == 0
    assert f"{SOLO} has this correction already" in applied(repository, PATCH, "--yes").stderr


def test_a_commit_that_was_made_is_not_taken_back(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    from tabtools.review import apply_patch

    def commit_then_fail(*arguments: object) -> str:
        real(*arguments)
        raise KeyboardInterrupt

    real = apply_patch.commit
    monkeypatch.setattr(apply_patch, "commit", commit_then_fail)
    assert applied(repository, PATCH, "--yes").exit_code != 0
    assert repository.read() == BETTER
    assert repository.git("status", "--porcelain") == ""


def test_where_git_fails_twice_it_is_said_how_to_finish(
    repository: GitRepository, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tabtools.review import apply_patch

    def failing(*_: object) -> str:
        raise GitError("git cat-file took longer than 60 seconds", "try again")

    with monkeypatch.context() as patched:
        patched.setattr(apply_patch, "commit", failing)
        patched.setattr(apply_patch, "is_committed", failing)
        done = applied(repository, PATCH, "--yes")
    assert done.exit_code == 2 and repository.read() == BETTER
    assert f"{SOLO} has the correction, but perhaps it is not committed: git cat-file took longer" in done.stderr
    assert f"tabtools apply .git/tabtools-correction.patch finishes it, git checkout -- {SOLO} drops it" in done.stderr
    command = ["apply", ".git/tabtools-correction.patch", "--yes"]
    assert CliRunner().invoke(main, command, catch_exceptions=False).exit_code == 0
    finished(repository)
