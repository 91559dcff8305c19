"""tabtools git: what it sets up, what git then shows, and what `check` finds wrong."""

from __future__ import annotations

from pathlib import Path

import pytest
from git_repositories import ROOT, SOLO, GitRepository, new_repository, tabtools
from test_git_merges import DUSK, MISSING, NO_PACKAGE, changed

from tabtools.review import setup


@pytest.fixture
def repository(tmp_path: Path) -> GitRepository:
    return new_repository(tmp_path / "solos", DUSK)


@pytest.fixture
def ready(repository: GitRepository) -> GitRepository:
    """A repository in which everything is set up and committed."""
    assert tabtools(repository.folder, "git", "install").returncode == 0
    repository.commit(message="attributes")
    return repository


def check(repository: GitRepository, **environment: str) -> tuple[int, str]:
    done = tabtools(repository.folder, "git", "check", **environment)
    assert done.stderr == ""
    return done.returncode, done.stdout


def test_install_is_whole_and_can_be_repeated(repository: GitRepository) -> None:
    first = tabtools(repository.folder, "git", "install")
    assert first.returncode == 0
    assert "merge.solo.driver: set" in first.stdout
    assert ".gitattributes: written; commit it, so that it holds for everybody" in first.stdout
    assert repository.read(".gitattributes") == f"{setup.ATTRIBUTES}\n"
    repository.commit(message="attributes")
    assert check(repository) == (0, "git shows and merges solos as music here\n")
    assert tabtools(repository.folder, "git", "install").stdout == "everything is set up already\n"


def test_install_keeps_the_attributes_that_are_there(repository: GitRepository) -> None:
    repository.write("*.png binary", ".gitattributes")
    tabtools(repository.folder, "git", "install")
    assert repository.read(".gitattributes") == f"*.png binary\n{setup.ATTRIBUTES}\n"


def test_uninstall_takes_the_settings_back(ready: GitRepository) -> None:
    before = set(ready.git("config", "--local", "--list", "--name-only").split())
    assert {name.lower() for name in setup.settings()} <= before
    done = tabtools(ready.folder, "git", "uninstall")
    assert done.returncode == 0
    assert "merge.solo: removed" in done.stdout
    assert {name.lower() for name in setup.settings()}.isdisjoint(
        ready.git("config", "--local", "--list", "--name-only").split()
    )
    assert ready.read(".gitattributes") == f"{setup.ATTRIBUTES}\n"


def test_outside_of_a_repository_it_says_so(tmp_path: Path) -> None:
    for command in ("install", "check", "uninstall"):
        done = tabtools(tmp_path, "git", command, GIT_CEILING_DIRECTORIES=str(tmp_path.parent))
        assert done.returncode == 2
        assert (
            done.stderr
            == "tabtools: this folder belongs to no git repository; run this where your solos are kept with git\n"
        )


# ---- what check finds


def test_check_finds_a_clone_without_settings(ready: GitRepository, tmp_path: Path) -> None:
    ready.git("clone", "--quiet", str(ready.folder), str(tmp_path / "clone"))
    status, said = check(GitRepository(tmp_path / "clone"))
    assert status == 1
    assert "merge.solo.driver is not set in this clone: git merges solos line by line" in said
    assert "run tabtools git install" in said


def test_check_finds_attributes_that_are_missing_overruled_or_not_committed(repository: GitRepository) -> None:
    tabtools(repository.folder, "git", "install")
    assert check(repository) == (
        1,
        ".gitattributes is not committed: nobody else has it\n    git add .gitattributes, and commit\n",
    )
    repository.write(f"{setup.ATTRIBUTES}\n*.solo -merge\n", ".gitattributes")
    status, said = check(repository)
    assert status == 1
    assert "here, but by text=set, eol=lf, diff=solo, merge=unset\n" in said


@pytest.mark.parametrize("driver", [MISSING, NO_PACKAGE], ids=["moved", "without its package"])
def test_check_finds_a_driver_that_has_moved_or_broken(ready: GitRepository, driver: str) -> None:
    ready.set("merge.solo.driver", driver)
    status, said = check(ready)
    assert status == 1
    assert "merge.solo.driver was set by another installation, or by hand\n" in said
    assert "the merge driver does not work: git merges solos line by line\n" in said


@pytest.mark.parametrize("driver", ["no-such-program %A", "false"], ids=["missing", "crashing"])
def test_check_finds_a_driver_of_others_that_drops_a_side(ready: GitRepository, driver: str) -> None:
    ready.set("merge.solo.driver", driver)
    status, said = check(ready)
    assert status == 1
    assert "git leaves your side without markers where it fails\n" in said


def test_check_tries_the_merge_in_a_repository_of_its_own(ready: GitRepository) -> None:
    """Also when it is run by a hook, where git says which repository it is about."""
    before = ready.git("rev-parse", "HEAD")
    assert check(ready, GIT_DIR=str(ready.folder / ".git"), GIT_WORK_TREE=str(ready.folder))[0] == 0
    assert ready.git("rev-parse", "HEAD") == before
    assert ready.git("branch", "--list", "theirs") == ""


# ---- what git shows


def hunk_headers(repository: GitRepository) -> list[str]:
    return [line.rpartition("@@")[2].strip() for line in repository.git("diff", "HEAD~1").splitlines() if "@@" in line]


def test_hunk_headers_name_the_bar_for_those_who_installed_nothing(repository: GitRepository) -> None:
    repository.write(f"{setup.ATTRIBUTES}\n", ".gitattributes")
    repository.commit(message="attributes")
    repository.commit(changed(("4    1:10 1:8", "4    1:10 1:9")))
    assert hunk_headers(repository) == ["bar 2  G7"]


def test_hunk_headers_name_the_bar_and_not_what_else_begins_with_a_letter(ready: GitRepository) -> None:
    ready.commit(changed(("4    1:10 1:8", "4    1:10 1:9")))
    assert hunk_headers(ready) == ["bar 2  G7"]


def test_git_diff_does_not_show_layout(ready: GitRepository) -> None:
    ready.commit(DUSK.replace("    ", "  ").replace("\n\n", "\n\n\n"))
    assert ready.git("diff", "HEAD~1") == ""
    ready.set("diff.solo.textconv", setup.settings()["diff.solo.textconv"].replace(setup.program(), "/nowhere"))
    assert "-1    3:5 3:7" in ready.git("diff", "HEAD~1")


def test_git_diff_shows_what_cannot_be_read_as_it_is(ready: GitRepository) -> None:
    ready.commit(changed(("4    - .", "4    - . ?!")))
    assert "+4    - . ?!" in ready.git("diff", "HEAD~1")


def test_words_of_a_diff_are_slots(ready: GitRepository) -> None:
    ready.commit(changed(("4    1:10 1:8", "4    1:10 1:8~")))
    assert "[-1:8-]{+1:8~+}" in ready.git("diff", "--word-diff", "HEAD~1")


def test_difftool_tells_the_change_as_music(ready: GitRepository) -> None:
    ready.commit(changed(("4    1:10 1:8", "4    1:10 1:9")))
    said = ready.git("difftool", "--no-prompt", "--tool=tabtools", "HEAD~1")
    assert f"{SOLO}\n  1 note to another pitch (bar 2)\n" in said
    assert "2.4.2  1:8 C5, 4 of G7 → 1:9 C#5, #4 of G7 (other pitch)" in said


def test_the_attributes_of_this_repository_are_those_that_are_set_up() -> None:
    assert setup.ATTRIBUTES in (ROOT / setup.ATTRIBUTES_FILE).read_text(encoding="utf-8").splitlines()
