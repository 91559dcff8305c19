"""tabtools blame: who last changed the music of each bar."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from git_repositories import ENVIRONMENT, SOLO, GitRepository, new_repository
from test_git_merges import DUSK, changed

from tabtools.cli import main


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    found = new_repository(tmp_path / "solos", DUSK)
    monkeypatch.chdir(found.folder)
    return found


def blame(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["blame", *arguments], catch_exceptions=False)


def subjects(path: str = SOLO) -> dict[int, str | None]:
    """Bar → the subject of the commit that last changed it."""
    return {row["first"]: row["subject"] for row in json.loads(blame(path, "--format", "json").output)}


FIRST = "the first transcription"
NOTE = ("4    1:10 1:8", "4    1:10 1:9")


def test_the_bar_that_was_corrected_and_those_that_were_not(repository: GitRepository) -> None:
    repository.commit(changed(NOTE), "the bend in bar 2\n\nSuggested-by: Tam Wick <tam@wick.example>\n")
    name = (
        repository.git("rev-parse", "--short=8", "HEAD~1").strip(),
        repository.git("rev-parse", "--short=8", "HEAD").strip(),
    )
    assert blame(SOLO).output == (
        f"bar 1  {name[0]}  2026-03-01  Ida Marlow  the first transcription\n"
        f"bar 2  {name[1]}  2026-03-01  Ida Marlow, with Tam Wick  the bend in bar 2\n"
        f"bar 3  {name[0]}  2026-03-01  Ida Marlow  the first transcription\n"
    )
    assert blame(SOLO, "2").output.splitlines()[1:] == ["    2.4.2 1:8 C5, 4 of G7 → 1:9 C#5, #4 of G7 (other pitch)"]


def test_layout_comments_and_numbers_do_not_count(repository: GitRepository) -> None:
    repository.commit(DUSK.replace("    ", "  "), "layout")
    repository.commit(changed(("bar 2  G7", "bar 2  G7  # turn")), "a comment")
    more = changed(("bar 3  C", "bar 4  C"), ("bar 2  G7", "bar 3  G7"), ("bar 1", "bar 1  Em7\n1-4  4:2\n\nbar 2"))
    repository.commit(more, "a bar more")
    assert subjects() == {1: "a bar more", 2: FIRST, 3: FIRST, 4: FIRST}


def test_a_bar_that_moved_is_not_changed(repository: GitRepository) -> None:
    head, first, second, third = DUSK.rstrip("\n").split("\n\n")
    repository.commit("\n\n".join([head, third, first, second]) + "\n", "order")
    assert set(subjects().values()) == {FIRST}


def test_what_is_not_committed(repository: GitRepository) -> None:
    repository.write(changed(NOTE))
    assert blame(SOLO).output.splitlines()[1] == "bar 2  not committed yet"
    repository.write(DUSK, "transcriptions/new.solo")
    assert set(subjects("transcriptions/new.solo").values()) == {None}


def test_the_file_under_its_old_names(repository: GitRepository) -> None:
    repository.commit(changed(NOTE), "a note")
    repository.git("mv", SOLO, "transcriptions/ferry.solo")
    repository.commit(changed(NOTE, ("126", "130")), "a better name", "transcriptions/ferry.solo")
    repository.git("mv", "transcriptions/ferry.solo", "transcriptions/quay.solo")
    repository.commit(changed(NOTE, ("3    1:8 -", "3    1:8 1:7")), "another name", "transcriptions/quay.solo")
    assert subjects("transcriptions/quay.solo") == {1: FIRST, 2: "a note", 3: "another name"}


def test_both_sides_of_a_merge(repository: GitRepository) -> None:
    repository.branch("theirs", changed(NOTE))
    repository.git("checkout", "--quiet", "main")
    repository.commit(changed(("3    1:8 -", "3    1:8 1:7")), "ours")
    repository.git("merge", "--quiet", "theirs")
    assert subjects() == {1: FIRST, 2: "theirs corrects", 3: "ours"}


def test_a_shallow_clone_says_that_it_may_be_older(repository: GitRepository, tmp_path: Path) -> None:
    repository.commit(changed(NOTE), "a note")
    repository.commit(changed(NOTE, ("3    1:8 -", "3    1:8 1:7")), "another")
    repository.git("clone", "--quiet", "--depth", "2", f"file://{repository.folder}", str(tmp_path / "clone"))
    rows = json.loads(blame(str(tmp_path / "clone" / SOLO), "--format", "json").output)
    assert [(row["subject"], row["or_earlier"]) for row in rows] == [
        ("a note", True),
        ("a note", True),
        ("another", False),
    ]
    assert "2026-03-01  or earlier, Ida Marlow  a note" in blame(str(tmp_path / "clone" / SOLO)).output


def test_a_version_that_could_not_be_read_is_passed_through(repository: GitRepository) -> None:
    repository.commit(changed(("4    - .", "4    - what")), "broken")
    repository.commit(DUSK, "mended")
    assert subjects() == {1: FIRST, 2: FIRST, 3: "mended"}


def merged(repository: GitRepository, ours: str, theirs: str, outcome: str) -> None:
    repository.branch("theirs", theirs)
    repository.git("checkout", "--quiet", "main")
    repository.commit(ours, "ours")
    repository.git("merge", "--quiet", "--no-commit", "theirs", fine=(0, 1))
    repository.commit(outcome, "the merge")


OURS, THEIRS, OWN = ("1    3:5 3:7", "1    3:5 3:8"), ("4    1:8 1:7", "4    1:8 1:6"), ("3    1:5 -", "3    1:5 1:4")


def test_a_merge_that_only_brings_a_bar_together_did_not_change_it(
    repository: GitRepository, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(ENVIRONMENT, "GIT_AUTHOR_DATE", "2026-03-02T12:00:00+00:00")
    merged(repository, changed(OURS), changed(THEIRS), changed(OURS, THEIRS))
    assert subjects()[1] in ("ours", "theirs corrects")
    assert subjects() == {1: subjects()[1], 2: FIRST, 3: FIRST}


def test_the_later_of_two_that_come_together_is_named(
    repository: GitRepository, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(ENVIRONMENT, "GIT_AUTHOR_DATE", "2026-03-04T12:00:00+01:00")
    repository.branch("theirs", changed(THEIRS))
    monkeypatch.setitem(ENVIRONMENT, "GIT_AUTHOR_DATE", "2026-03-03T12:00:00+00:00")
    repository.git("checkout", "--quiet", "main")
    repository.commit(changed(OURS), "ours")
    repository.git("merge", "--quiet", "--no-commit", "theirs", fine=(0, 1))
    repository.commit(changed(OURS, THEIRS), "the merge")
    assert subjects()[1] == "theirs corrects"


def test_a_merge_that_changes_a_bar_itself_is_named(repository: GitRepository) -> None:
    merged(repository, changed(OURS), changed(THEIRS), changed(OURS, THEIRS, OWN))
    assert subjects() == {1: "the merge", 2: FIRST, 3: FIRST}


NOTHING_KNOWN = "tabtools: nothing is known of who changed what:"


@pytest.mark.parametrize("form", ["text", "json"])
def test_without_a_history_it_cannot_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, form: str) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    path = tmp_path / "dusk.solo"
    path.write_text(DUSK)

    def said() -> str:
        result = blame(str(path), "--format", form)
        assert (result.exit_code, result.stdout) == (2, "")
        return result.stderr.removeprefix(NOTHING_KNOWN)

    assert said() == " this folder belongs to no git repository; run this where your solos are kept with git\n"
    repository = new_repository(tmp_path)
    assert said() == " nothing is committed here yet; git commit keeps the first version\n"
    monkeypatch.setenv("PATH", "")
    assert said() == " git is not installed; install git\n"
    monkeypatch.undo()
    monkeypatch.setenv("GIT_DIR", str(repository.folder / ".git"))
    monkeypatch.setenv("GIT_WORK_TREE", str(tmp_path.parent / "elsewhere"))
    (tmp_path.parent / "elsewhere").mkdir(exist_ok=True)
    assert "lies outside of the repository's folder" in said()


def test_a_file_without_bars(repository: GitRepository) -> None:
    repository.write("title: soon\n")
    assert (blame(SOLO).exit_code, blame(SOLO).stderr) == (2, f"tabtools: {SOLO} has no bars\n")


def test_a_line_that_cannot_be_read_is_named(repository: GitRepository) -> None:
    repository.write(changed(("4    1:10 1:8", "4    1:10 what")))
    result = blame(SOLO)
    assert result.stdout.splitlines()[1] == "bar 2  not committed yet"
    line = changed().splitlines().index("4    1:10 1:8") + 1
    assert (result.exit_code, result.stderr) == (0, f"{SOLO}:{line}: this line cannot be read as music\n")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["nowhere.solo"], "nowhere.solo: the file is not there; check its name"),
        ([SOLO, "9"], f"{SOLO} has no bar 9"),
    ],
)
def test_what_cannot_run(repository: GitRepository, arguments: list[str], said: str) -> None:
    result = blame(*arguments)
    assert (result.exit_code, result.stderr) == (2, f"tabtools: {said}\n")


def test_names_cannot_speak_to_the_terminal(repository: GitRepository) -> None:
    repository.git(
        "-c", "user.name=x", "commit", "--quiet", "--allow-empty", "--author", "\x1b[31mTam <t@x>", "-m", "x"
    )
    repository.write(changed(NOTE))
    repository.git("add", "--all")
    repository.git("commit", "--quiet", "--author", "\x1b[31mTam <t@x>", "-m", "\x1b[2Jgone")
    assert "\x1b" not in blame(SOLO).output
    assert subjects()[2] == "␛[2Jgone"
