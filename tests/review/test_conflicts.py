"""What a merge left to be decided: shown as music, taken place by place, by git itself."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from git_repositories import DUSK, ENVIRONMENT, SOLO, GitRepository, new_repository
from made_merges import colliding
from made_solos import version
from thoroughness import share

from tabtools.cli import main
from tabtools.notation.write import canonical
from tabtools.reports.conflicts import ToldConflict, of_solo
from tabtools.review import setup
from tabtools.review.conflicts.markers import MarkersError, decided_for, marked_places
from tabtools.review.conflicts.solo import conflicted_solo
from tabtools.review.conflicts.take import chosen, decisions_of_solo, taken
from tabtools.review.merging.text import merge_texts
from tabtools.source import from_text

NEW = "transcriptions/new.solo"
LESSON = SOLO.replace(".solo", ".md")
WORDS = "# Dusk\n\nBar 2 goes up.\nIt is calm.\n\nAnd it ends.\n"


def ran(*arguments: object) -> tuple[int, str, str]:
    """The status of a command, what it prints, and what it says."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)
    return result.exit_code, result.stdout, result.stderr


def corrected(*changes: tuple[str, str], text: str = DUSK) -> str:
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


OURS = corrected(("2    2:6 2:8", "2    2:6 2:9"), ("126", "130"), ("4    1:8 1:7", "4    1:8 1:6"))
THEIRS = corrected(("2    2:6 2:8", "2    2:6 2:10"), ("126", "120"))


def stopped_merge(folder: Path, driver: bool = True) -> GitRepository:
    """A repository in which a merge of two corrections waits for decisions."""
    repository = new_repository(folder / "solos")
    repository.write(f"{setup.ATTRIBUTES}\n", setup.ATTRIBUTES_FILE)
    if driver:
        repository.set("merge.solo.driver", setup.settings()["merge.solo.driver"])
    repository.write(WORDS, LESSON)
    repository.commit(DUSK, "the first transcription")
    repository.git("checkout", "--quiet", "-b", "correction")
    repository.write(WORDS.replace("calm", "wild"), LESSON)
    repository.commit(THEIRS, "The second bar goes higher\n\nSuggested-by: Wilf Garrow <wilf@garrow.example>")
    repository.git("checkout", "--quiet", "main")
    repository.write(WORDS.replace("calm", "gentle"), LESSON)
    repository.commit(OURS, "A ninth in bar 2")
    repository.git("merge", "--quiet", "correction", fine=(1,))
    return repository


@pytest.fixture(scope="module")
def waiting(tmp_path_factory: pytest.TempPathFactory) -> dict[bool, Path]:
    """Repositories with the driver, and without."""
    return {driver: stopped_merge(tmp_path_factory.mktemp("waiting"), driver).folder for driver in (True, False)}


@pytest.fixture(params=[True, False], ids=["by bars", "line by line"])
def repository(
    request: pytest.FixtureRequest, waiting: dict[bool, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> GitRepository:
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    shutil.copytree(waiting[request.param], tmp_path / "solos")
    monkeypatch.chdir(tmp_path / "solos")
    return GitRepository(tmp_path / "solos")


without_driver = pytest.mark.parametrize("repository", [False], indirect=True, ids=["line by line"])
with_driver = pytest.mark.parametrize("repository", [True], indirect=True, ids=["by bars"])


def test_both_sides_are_shown_as_music_with_who_and_why(repository: GitRepository) -> None:
    status, out, _ = ran("conflicts", "show", SOLO)
    assert status == 1
    ours, theirs = (repository.git("rev-parse", "--short=8", name).strip() for name in ("main", "correction"))
    assert (
        out
        == f"""\
{SOLO}: 2 places to decide

  tempo
    base
      tempo: 126
    ours, main: {ours}  2026-03-01  Ida Marlow
      “A ninth in bar 2”
      tempo: 130
    theirs, correction: {theirs}  2026-03-01  Ida Marlow, with Wilf Garrow
      “The second bar goes higher”
      tempo: 120

  bar 2: beat 2
    base
        bar 2
         G7
         1     2     3   4
      E|-------------7---10-8-|
      B|-------6--8-----------|
      G|-7--9-----------------|
      D|----------------------|
      A|----------------------|
      E|----------------------|
         5  6  b7 1  3   5  4
    ours, main: {ours}  2026-03-01  Ida Marlow
      “A ninth in bar 2”
        bar 2
         G7
         1     2      3   4
      E|--------------7---10-8-|
      B|-------6--9------------|
      G|-7--9------------------|
      D|-----------------------|
      A|-----------------------|
      E|-----------------------|
         5  6  b7 b2  3   5  4
    theirs, correction: {theirs}  2026-03-01  Ida Marlow, with Wilf Garrow
      “The second bar goes higher”
        bar 2
         G7
         1     2      3   4
      E|--------------7---10-8-|
      B|-------6--10-----------|
      G|-7--9------------------|
      D|-----------------------|
      A|-----------------------|
      E|-----------------------|
         5  6  b7 2   3   5  4

  to decide one of them (or theirs, or base):
  tabtools conflicts take ours {SOLO} tempo
"""
    )


def test_words_of_a_lesson_are_shown_by_paragraphs_and_taken_by_number(repository: GitRepository) -> None:
    status, out, _ = ran("conflicts")
    assert status == 1
    shown = out.partition(f"\n\n{SOLO}")[0]
    assert [row for row in shown.splitlines() if not row.startswith(("    ours", "    theirs", "      “"))] == [
        f"{LESSON}: 1 place to decide", "", "  number 1", "      Bar 2 goes up.", "      It is gentle.",
        "      Bar 2 goes up.", "      It is wild.", "", "  to decide it (or theirs):",
        f"  tabtools conflicts take ours {LESSON} 1",
    ]  # fmt: skip
    assert ran("conflicts", "take", "theirs", LESSON, "1")[:2] == (
        0,
        f"number 1: theirs\n{LESSON}: nothing is left to decide; git add {LESSON}\n",
    )
    assert repository.read(LESSON) == WORDS.replace("calm", "wild")


def test_places_are_taken_one_by_one_and_all_else_stays(repository: GitRepository) -> None:
    assert ran("conflicts", "take", "theirs", SOLO, "2")[:2] == (
        0,
        f"bar 2: theirs\n{SOLO}: 1 place left to decide\n",
    )
    assert ran("conflicts", "take", "ours", SOLO, "tempo")[:2] == (
        0,
        f"tempo: ours\n{SOLO}: nothing is left to decide; git add {SOLO}\n",
    )
    assert repository.read() == corrected(("2    2:6 2:9", "2    2:6 2:10"), text=OURS)
    assert ran("conflicts", "show", SOLO)[:2] == (0, f"{SOLO}: nothing is left to decide; git add {SOLO}\n")
    repository.git("add", "--all")
    assert ran("conflicts") == (0, "nothing is in conflict here\n", "")


@with_driver
def test_the_base_is_taken_from_git(repository: GitRepository) -> None:
    assert ran("conflicts", "take", "base", SOLO, "2", "tempo")[0] == 0
    assert repository.read() == corrected(("4    1:8 1:7", "4    1:8 1:6"))


@with_driver
def test_what_was_changed_between_markers_by_hand_is_left(repository: GitRepository) -> None:
    text = corrected(("2    2:6 2:10", "2    2:6 2:11"), text=repository.read())
    repository.write(text)
    status, _, said = ran("conflicts", "take", "ours", SOLO, "2")
    assert (status, said) == (
        2,
        f"tabtools: {SOLO}: what stands between the markers of bar 2 was changed by hand since the merge; "
        "finish there, and delete the markers\n",
    )
    assert repository.read() == text
    assert "changed by hand since the merge; decide there" in ran("conflicts")[1]
    assert ran("conflicts", "take", "ours", SOLO, "tempo")[0] == 0


@with_driver
def test_line_ends_stay_as_they_are(repository: GitRepository) -> None:
    path = repository.folder / SOLO
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    assert ran("conflicts", "take", "base", SOLO, "2", "tempo")[0] == 0
    assert path.read_bytes() == corrected(("4    1:8 1:7", "4    1:8 1:6")).replace("\n", "\r\n").encode()


def test_a_comparison_says_what_is_to_be_decided(repository: GitRepository) -> None:
    status, out, _ = ran("diff")
    assert (status, out) == (
        3,
        f"{SOLO}\n  2 places to decide (tempo; bar 2: beat 2); tabtools conflicts shows both sides\n\n"
        "  lesson\n1 place to decide; tabtools conflicts shows both sides\n",
    )
    ran("conflicts", "take", "theirs", SOLO, "2", "tempo")
    assert "2:6 2:9" not in ran("diff")[1]
    assert "B2" not in ran("diff")[1]
    assert "bar 2  G7" in ran("diff")[1]


@without_driver
def test_the_sides_of_a_rebase_and_a_cherry_pick_are_named(repository: GitRepository) -> None:
    ours, theirs = (repository.git("rev-parse", "--short=8", name).strip() for name in ("main", "correction"))
    repository.git("merge", "--abort")
    repository.git("rebase", "--quiet", "correction", fine=(1,))
    assert sides() == [f"ours, correction: {theirs}", f"theirs, main, commit {ours}: {ours}"]
    repository.git("rebase", "--abort")
    repository.git("cherry-pick", "correction", fine=(1,))
    assert sides() == [f"ours, main: {ours}", f"theirs, commit {theirs}: {theirs}"]


@without_driver
def test_a_solo_that_one_side_deleted_is_kept_or_let_go(repository: GitRepository) -> None:
    repository.git("merge", "--abort")
    repository.git("rm", "--quiet", SOLO)
    repository.git("commit", "--quiet", "-m", "gone")
    repository.git("merge", "--quiet", "correction", fine=(1,))
    assert ran("conflicts", "show", SOLO)[:2] == (
        1,
        f"{SOLO}: deleted by ours, main; changed by theirs, correction\n"
        f"  git add {SOLO} keeps it, git rm {SOLO} lets it go\n",
    )


@without_driver
def test_what_both_sides_added_has_no_base(repository: GitRepository) -> None:
    repository.git("merge", "--abort")
    for branch, text in (("one", OURS), ("two", THEIRS)):
        repository.git("checkout", "--quiet", "-b", branch, "main")
        repository.commit(text, branch, NEW)
    repository.git("merge", "--quiet", "one", fine=(1,))
    out = ran("conflicts")[1]
    assert "    base\n" not in out
    assert "  to decide one of them (or theirs):\n" in out
    assert "what stood there before is not known" in ran("conflicts", "take", "base", NEW, "1", "2")[2]


def sides() -> list[str]:
    rows = [row.partition("  2026")[0].strip() for row in ran("conflicts", "show", SOLO)[1].splitlines()]
    return list(dict.fromkeys(row for row in rows if row.startswith(("ours,", "theirs,"))))


@pytest.mark.parametrize("seed", range(share(30)))
def test_what_is_taken_place_by_place_is_what_a_side_has(seed: int) -> None:
    made = colliding(seed)
    versions = (made.base.encode(), made.ours.encode(), made.theirs.encode())
    merged = merge_texts(*versions).text
    for side, wanted in (("ours", made.decided_for_ours), ("theirs", made.decided_for_theirs), ("base", None)):
        data = merged.encode()
        while (solo := conflicted_solo(from_text(data.decode(), SOLO), versions)).conflicts:
            assert solo.has_bases
            shown = of_solo(solo, [ToldConflict(one) for one in solo.conflicts], None, lambda text, _: text)
            assert max(map(len, shown.splitlines())) <= 80
            (one,) = chosen(decisions_of_solo(solo.conflicts), solo.conflicts[0].words)
            data = taken(data, one.places, side, solo.left)
        read = version(data.decode())
        assert read.is_whole
        assert wanted in (None, canonical(read.solo))


@pytest.mark.parametrize(
    "text",
    ["<<<<<<< a\nx\n=======\ny\n", "<<<<<<< a\nx\n>>>>>>> b\n", "<<<<<<< a\n<<<<<<< a\n=======\n>>>>>>> b\n",
     "<<<<<<< a\n=======\n=======\n>>>>>>> b\n"],
)  # fmt: skip
def test_markers_that_are_not_whole_are_left_to_people(text: str, tmp_path: Path) -> None:
    with pytest.raises(MarkersError, match="line 1"):
        marked_places(text.splitlines())
    solo = tmp_path / "a.solo"
    solo.write_text(text, encoding="utf-8")
    for words in (("show", str(solo)), ("take", "ours", str(solo), "1")):
        status, _, said = ran("conflicts", *words)
        assert (status, "the markers at line 1 are not as a merge leaves them; decide there by hand" in said) == (
            2,
            True,
        )
    assert solo.read_text(encoding="utf-8") == text


def test_markers_of_another_size_belong_to_the_text() -> None:
    rows = "<<<<<<<<< a\n<<<<<<< x\n=======\n|||||||||\nold\n=========\nnew\n>>>>>>>>> b\nend".splitlines()
    (place,) = places = marked_places(rows)
    assert decided_for("ours", rows, places).rows == ("<<<<<<< x", "=======", "end")
    assert decided_for("base", rows, places).rows == ("old", "end")
    assert decided_for("theirs", rows, places).rows == ("new", "end")
    assert place.end == 8


def test_markers_in_the_code_of_a_lesson_are_left_to_its_author(tmp_path: Path) -> None:
    for name, words in (("a", "Before.\n"), ("b", "```text\n<<<<<<< a\nx\n=======\ny\n>>>>>>> b\n```\n")):
        (tmp_path / f"{name}.solo").write_text(DUSK, encoding="utf-8")
        (tmp_path / f"{name}.md").write_text(words, encoding="utf-8")
    assert ran("conflicts", "show", tmp_path / "b.md")[0] == 0
    assert "+<<<<<<< a\n" in ran("diff", tmp_path / "a.solo", tmp_path / "b.solo")[1]


def test_bars_between_one_pair_of_markers_are_taken_together(tmp_path: Path) -> None:
    solo = tmp_path / "a.solo"
    solo.write_text(
        "title: A\n\n<<<<<<< a\nbar 1\n1-4  3:5\n\nbar 2\n1-4  3:6\n=======\n>>>>>>> b\n\nbar 3\n1-4  3:7\n"
    )
    assert "bars 1-2 stand between the same markers; name them all" in ran("conflicts", "take", "ours", solo, "1")[2]
    assert ran("conflicts", "take", "theirs", solo, "1", "2")[0] == 0
    assert solo.read_text(encoding="utf-8") == "title: A\n\nbar 3\n1-4  3:7\n"
