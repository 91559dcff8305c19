"""What keeps git from telling the past of solos is said, with what to do; no repository at all is a choice."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, GitRepository, new_repository, tabtools

from tabtools.review.git import GitError
from tabtools.review.repository_log import repository_log_of
from tabtools.review.revisions import repository_at
from tabtools.settings import Settings
from tabtools.website.collection import gather

Damage = Callable[[GitRepository], None]


@pytest.fixture(autouse=True)
def no_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])


@pytest.fixture
def repository(tmp_path: Path) -> GitRepository:
    found = new_repository(tmp_path / "solos", DUSK)
    found.commit(BETTER)
    return found


def faults(top: Path) -> tuple[str, ...]:
    """What a site is told of a repository's past."""
    return gather(top / "transcriptions", Settings(root=top)).warnings


def assert_one(found: tuple[str, ...], what: str, advice: str) -> None:
    assert len(found) == 1
    assert what in found[0]
    assert advice in found[0]


def test_a_whole_repository_is_told_without_a_word(repository: GitRepository) -> None:
    assert faults(repository.folder) == ()


def test_outside_of_git_there_is_nothing_to_warn_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / SOLO).parent.mkdir()
    (tmp_path / SOLO).write_text(DUSK, encoding="utf-8")
    assert faults(tmp_path) == ()
    monkeypatch.setenv("PATH", "/nowhere")
    assert faults(tmp_path) == ()


def test_nothing_committed_yet_is_no_fault(tmp_path: Path) -> None:
    empty = new_repository(tmp_path / "solos")
    empty.write(DUSK)
    assert faults(empty.folder) == ()


def test_a_shallow_clone(repository: GitRepository, tmp_path: Path) -> None:
    repository.commit(BETTER.replace("126", "120"))
    clone = tmp_path / "clone"
    repository.git("clone", "--quiet", "--depth=2", repository.folder.as_uri(), str(clone))
    assert_one(faults(clone), "this clone is shallow", "git fetch --unshallow; in a workflow, fetch-depth: 0")


def test_a_shallow_clone_whose_edge_lies_before_the_first_solo(tmp_path: Path) -> None:
    whole = new_repository(tmp_path / "whole")
    whole.write("notes", "notes.txt")
    whole.commit()
    whole.commit()
    whole.commit(DUSK)
    clone = tmp_path / "clone"
    whole.git("clone", "--quiet", "--depth=2", whole.folder.as_uri(), str(clone))
    assert faults(clone) == ()


def test_git_that_takes_the_owner_for_another(
    repository: GitRepository, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wrapper = tmp_path / "bin" / "git"
    wrapper.parent.mkdir()
    real = shutil.which("git")
    wrapper.write_text(f'#!/bin/sh\nGIT_TEST_ASSUME_DIFFERENT_OWNER=1 exec "{real}" "$@"\n', encoding="utf-8")
    wrapper.chmod(0o755)
    monkeypatch.setenv("PATH", f"{wrapper.parent}{os.pathsep}{os.environ['PATH']}")
    advice = f"git config --global --add safe.directory {repository.folder}"
    assert_one(faults(repository.folder), "belongs to another user", advice)


@pytest.fixture
def given_away(repository: GitRepository) -> Iterator[GitRepository]:
    if os.geteuid():
        pytest.skip("only root can give files away")
    for path in (repository.folder, *repository.folder.rglob("*")):
        os.chown(path, 65534, 65534)
    yield repository


def test_a_repository_of_another_owner(given_away: GitRepository, tmp_path: Path) -> None:
    assert_one(faults(given_away.folder), "belongs to another user", f"safe.directory {given_away.folder}")
    said = tabtools(given_away.folder, "blame", SOLO).stderr
    assert f"git config --global --add safe.directory {given_away.folder}" in said


def test_another_owner_who_is_trusted(
    given_away: GitRepository, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = tmp_path / "gitconfig"
    settings.write_text(f"[safe]\n\tdirectory = {given_away.folder}\n", encoding="utf-8")
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(settings))
    assert faults(given_away.folder) == ()


def test_git_that_is_not_installed(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    assert_one(faults(repository.folder), "git is not installed", "install git")


def _no_head(repository: GitRepository) -> None:
    (repository.folder / ".git" / "HEAD").unlink()


def _moved(repository: GitRepository) -> None:
    shutil.rmtree(repository.folder / ".git")
    (repository.folder / ".git").write_text("gitdir: /nowhere\n", encoding="utf-8")


def _empty_branch(repository: GitRepository) -> None:
    (repository.folder / ".git" / "refs" / "heads" / "main").write_text("", encoding="utf-8")


def _no_objects(repository: GitRepository) -> None:
    shutil.rmtree(repository.folder / ".git" / "objects")
    (repository.folder / ".git" / "objects").mkdir()


def _junk_objects(repository: GitRepository) -> None:
    for path in (repository.folder / ".git" / "objects").glob("??/*"):
        path.chmod(0o644)
        path.write_bytes(b"junk")


def _unreadable_settings(repository: GitRepository) -> None:
    (repository.folder / ".git" / "config").write_text("[core\n", encoding="utf-8")


@pytest.mark.parametrize(
    ("damage", "what"),
    [
        (_no_head, "there is a .git in solos, but git finds no repository in it"),
        (_moved, "there is a .git in solos, but git finds no repository in it"),
        (_empty_branch, "git log failed: your current branch appears to be broken"),
        (_no_objects, "git log failed: bad object HEAD"),
        (_junk_objects, "is corrupt"),
        (_unreadable_settings, "bad config line 1"),
    ],
)
def test_a_damaged_repository(repository: GitRepository, damage: Damage, what: str) -> None:
    damage(repository)
    assert_one(faults(repository.folder), what, "git")


def test_a_text_that_git_has_lost(repository: GitRepository) -> None:
    blob = repository.git("rev-parse", f"HEAD^:{SOLO}").strip()
    (repository.folder / ".git" / "objects" / blob[:2] / blob[2:]).unlink()
    found = faults(repository.folder)
    assert_one(found, "git lacks texts", "git fetch --refetch")


def test_git_that_takes_too_long(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    def late(*arguments: object, **settings: object) -> None:
        raise subprocess.TimeoutExpired("git", 60)

    monkeypatch.setattr(subprocess, "run", late)
    assert_one(faults(repository.folder), "took longer than", "try again")


def test_a_branch_that_is_broken_is_not_one_without_commits(repository: GitRepository) -> None:
    found = repository_at(repository.folder)
    assert found.has_commits()
    _empty_branch(repository)
    with pytest.raises(GitError, match="appears to be broken"):
        found.has_commits()


def test_a_memory_says_why_it_is_empty(repository: GitRepository) -> None:
    assert repository_log_of(repository.folder / "transcriptions").fault is None
    _no_objects(repository)
    memory = repository_log_of(repository.folder / "transcriptions")
    assert memory.fault is not None
    assert not memory.touches
