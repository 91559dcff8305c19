"""What diff, review, blame and apply are asked to look at: revisions, files, paths, and what is none of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from git_repositories import ENVIRONMENT, SOLO, GitRepository, new_repository
from test_git_merges import DUSK, changed

from tabtools.cli import main

LESSON = SOLO.replace(".solo", ".md")
CORRECTED = changed(("4    1:10 1:8", "4    1:10 1:9"))
OTHERWISE = changed(("126", "130"))
SAME, MUSIC, COULD_NOT_RUN = 0, 3, 2


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    """Two commits of one solo on main, the first of which is also the branch `before`."""
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))
    found = new_repository(tmp_path / "solos", DUSK)
    found.git("branch", "before")
    found.commit(CORRECTED, "the turn mended")
    monkeypatch.chdir(found.folder)
    return found


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments), catch_exceptions=False)


def diff(*arguments: str) -> Result:
    return run("diff", *arguments)


def said(result: Result) -> str:
    """What kept a command from running."""
    assert (result.exit_code, result.stdout) == (COULD_NOT_RUN, "")
    return result.stderr.removeprefix("tabtools: ").rstrip("\n")


# ---- revisions


@pytest.mark.parametrize("revision", ["HEAD~1", "before", "@~1", "HEAD^", ":/first", "HEAD^{/first}"])
def test_one_revision_is_compared_with_the_files_as_they_are(repository: GitRepository, revision: str) -> None:
    assert "(other pitch)" in diff(revision).output
    repository.write(DUSK)
    assert diff(revision).exit_code == SAME
    assert "(other pitch)" in diff("HEAD").output


def test_two_revisions_are_compared_with_each_other(repository: GitRepository) -> None:
    repository.write(OTHERWISE)
    wanted = diff("before..main")
    assert wanted.exit_code == MUSIC
    for arguments in (["before", "main"], ["HEAD~1", "HEAD"], ["before", "main", "transcriptions"], ["before", "@"]):
        assert diff(*arguments).output == wanted.output
    assert "1:9 C#5, #4 of G7 → 1:8" in diff("main", "before").output


def test_the_branch_before_this_one(repository: GitRepository) -> None:
    repository.git("checkout", "--quiet", "before")
    repository.git("checkout", "--quiet", "main")
    assert diff("@{-1}").output == diff("before").output
    assert diff("@{-1}..").output == diff("before..main").output


def test_a_revision_whose_words_hold_two_dots(repository: GitRepository) -> None:
    repository.commit(DUSK, "back..and forth")
    assert diff(":/back..and").exit_code == SAME
    assert diff("HEAD^{/back..and}").exit_code == SAME


@pytest.mark.parametrize(
    "word",
    ["nowhere", "nosuch.solo", "transcriptions/nosuch.solo", "^main", "main^!", "main^@", "HEAD:transcriptions", ""],
)
def test_what_is_neither_a_revision_nor_a_file(repository: GitRepository, word: str) -> None:
    for arguments in ([word], ["HEAD~1", word]):
        assert said(diff(*arguments)) == (
            f"“{word}” is neither a revision nor a file or folder here; "
            "check its name (git log shows the commits there are)"
        )


@pytest.mark.parametrize("arguments", [["a" * 5_000], ["a" * 200_000], ["HEAD", "b" * 5_000], ["a/" * 3_000]])
def test_a_word_of_any_length(repository: GitRepository, arguments: list[str]) -> None:
    message = said(diff(*arguments))
    assert f"“{arguments[-1][:59]}…” is neither a revision nor a file or folder here" in message
    assert len(message) < 250


@pytest.mark.parametrize("revision", ["a" * 5_000, "a" * 200_000])
def test_a_revision_of_any_length(repository: GitRepository, revision: str) -> None:
    wanted = f"“{revision[:59]}…” names no commit here; git log shows the commits there are"
    assert said(diff(f"{revision}..HEAD")) == wanted
    assert said(diff(f"HEAD...{revision}")) == wanted
    assert said(run("review", f"{revision}..HEAD")) == wanted


@pytest.mark.parametrize("word", ["-x", "--output=x", "--ext-diff"])
def test_a_revision_is_never_an_option_of_git(repository: GitRepository, word: str) -> None:
    for arguments in (["--", word], [word, "--"], ["HEAD", "--", word], [f"HEAD..{word}"]):
        assert diff(*arguments).exit_code == COULD_NOT_RUN
    for side in (f"HEAD..{word}", f"HEAD...{word}"):
        assert said(run("review", side)) == f"“{word}” names no commit here; git log shows the commits there are"
    assert sorted(path.name for path in repository.folder.iterdir()) == [".git", "transcriptions"]


@pytest.mark.parametrize("words", ["before main HEAD", "before..main HEAD", "main before..main", "before main HEAD --"])
def test_three_revisions_are_one_too_many(repository: GitRepository, words: str) -> None:
    assert said(diff(*words.split())) == "at most two revisions are compared"


def test_revisions_come_before_files(repository: GitRepository) -> None:
    assert said(diff(SOLO, "before")) == "“before” is no file or folder here; revisions come before files"


# ---- dots alone


def test_dots_alone_name_no_revisions(repository: GitRepository) -> None:
    assert said(diff("...")) == "“...” names no revisions; write two of them, like main..correction"
    for word in ("..", "..."):
        assert said(run("review", word)) == f"“{word}” names no revisions; write BASE..HEAD, like main..correction"


def test_two_dots_are_the_folder_above(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    assert said(diff("..")) == ".. lies outside this repository; name two files to compare"
    monkeypatch.chdir(repository.folder / "transcriptions")
    assert diff("..").exit_code == SAME
    repository.write(DUSK)
    assert diff("..").exit_code == MUSIC


# ---- a name that is both


def test_a_name_that_is_both_is_asked_about(repository: GitRepository) -> None:
    repository.write(DUSK, "before/dusk.solo")
    wanted = (
        "“before” is both a revision and a file or folder here; "
        "write “before --” for the revision, “-- before” for the other"
    )
    assert said(diff("before")) == wanted
    assert said(diff("HEAD", "before")) == wanted
    assert diff("before", "--").output == diff("before~0").output
    assert diff("--", "before").output.startswith("before/dusk.solo\n  a new solo: 3 bars\n")
    assert diff("HEAD", "--", "before").output == diff("--", "before").output
    assert diff("before..main").exit_code == MUSIC


def test_two_files_that_are_revisions_too_are_asked_about(repository: GitRepository) -> None:
    Path("before").write_text(DUSK)
    assert said(diff("before", SOLO)).startswith("“before” is both a revision and a file")
    assert diff("./before", SOLO).output.startswith(f"{SOLO} (was before)\n")


def test_behind_the_dashes_are_paths_alone(repository: GitRepository) -> None:
    assert said(diff("--", "main")) == "“main” is not there, and was not; check its name"
    assert said(diff("nosuch", "--")) == "“nosuch” names no commit here; git log shows the commits there are"
    assert diff("before", "--", SOLO).exit_code == MUSIC
    assert diff("before..main", "--", SOLO).exit_code == MUSIC
    assert diff("--", SOLO, "transcriptions").exit_code == SAME


# ---- files and folders


def test_a_path_that_is_not_there_and_was_not(repository: GitRepository) -> None:
    for arguments in (["HEAD~1..HEAD", "nosuch.solo"], ["HEAD~1", "HEAD", "--", "nosuch.solo"], [SOLO, "nosuch.solo"]):
        assert "nosuch.solo" in said(diff(*arguments))


def test_a_path_that_was_there_is_enough(repository: GitRepository) -> None:
    repository.git("mv", SOLO, "transcriptions/ferry.solo")
    repository.commit(OTHERWISE, "a better name", "transcriptions/ferry.solo")
    assert diff("HEAD~1..HEAD", SOLO).output.startswith(f"transcriptions/ferry.solo (was {SOLO})\n")
    assert said(diff(SOLO)).startswith(f"“{SOLO}” is neither a revision nor a file")
    (repository.folder / "transcriptions/ferry.solo").unlink()
    assert "gone: 3 bars" in diff("transcriptions/ferry.solo").output


@pytest.mark.parametrize("name", ["notes.txt", "README.md"])
def test_a_file_that_is_no_solo_is_not_passed_over(repository: GitRepository, name: str) -> None:
    repository.commit("old\n", name=name)
    repository.write("new\n", name)
    assert said(diff(name)) == f"{name} is neither a solo nor the lesson of one"
    assert diff("--", ".").exit_code == SAME


def test_a_lesson_stands_for_its_solo(repository: GitRepository) -> None:
    repository.commit("# Dusk\n", name=LESSON)
    repository.write("# Dusk again\n", LESSON)
    assert "+# Dusk again" in diff(LESSON).output
    (repository.folder / SOLO).unlink()
    (repository.folder / LESSON).unlink()
    assert "gone: 3 bars" in diff(LESSON).output


def test_two_files_outside_of_this_repository(repository: GitRepository) -> None:
    Path("../a.solo").write_text(DUSK)
    Path("../b.solo").write_text(CORRECTED)
    assert diff("../a.solo", "../b.solo").output.startswith("../b.solo (was ../a.solo)\n")
    assert diff("../a.solo", SOLO).exit_code == MUSIC
    assert diff(SOLO, "../b.solo").exit_code == SAME
    assert said(diff("../a.solo")) == "../a.solo lies outside this repository; name two files to compare"
    assert said(diff("transcriptions/../../a.solo")).startswith("transcriptions/../../a.solo lies outside")
    assert said(diff("HEAD", "../a.solo")) == "../a.solo lies outside this repository; name two files to compare"


def test_two_files_outside_of_any_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    Path("../a.solo").write_text(DUSK)
    Path("../b.solo").write_text(CORRECTED)
    assert diff("../a.solo", "../b.solo").exit_code == MUSIC
    assert said(diff("../a.solo", "../c.solo")) == "“../c.solo” is not there; name two files to compare"
    assert said(diff("../a.solo", "c" * 5_000)) == f"“{'c' * 59}…” is not there; name two files to compare"
    for arguments in ([], ["main"], ["../a.solo"], ["main..correction"], ["--", "../a.solo", "../b.solo"], [".."]):
        assert said(diff(*arguments)) == "this folder belongs to no git repository; name two files to compare"


# ---- review, blame, apply


@pytest.mark.parametrize("word", ["main", "nosuch.solo", SOLO, "", "-x", "a" * 5_000])
def test_a_review_is_of_two_revisions(repository: GitRepository, word: str) -> None:
    arguments = ["review", "--", word]
    assert said(run(*arguments)).endswith("names no two revisions; write BASE..HEAD, like main..correction")
    assert len(said(run(*arguments))) < 200


def test_a_review_of_nowhere(repository: GitRepository) -> None:
    wanted = "“nowhere” names no commit here; git log shows the commits there are"
    assert said(run("review", "nowhere..HEAD")) == wanted
    assert said(run("review", "HEAD...nowhere")) == wanted
    assert run("review", "HEAD..HEAD").output == "## Review of `HEAD..HEAD`\n\nNo solo changed&#46;\n".replace(
        "&#46;", "."
    )


@pytest.mark.parametrize("name", ["nosuch.solo", "transcriptions", "c" * 5_000, ""])
def test_blame_of_what_is_no_solo(repository: GitRepository, name: str) -> None:
    assert said(run("blame", name))


@pytest.mark.parametrize("name", ["nosuch.patch", "transcriptions", "c" * 5_000, ""])
def test_a_correction_that_is_no_file(repository: GitRepository, name: str) -> None:
    assert said(run("apply", name))
