"""A correction is taken whole or not at all: line ends stay, credit is kept."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner
from git_repositories import BETTER, DUSK, ENVIRONMENT, SOLO, GitRepository, tabtools
from patches import LESSON, PATCH, applied, refuse_commits, repository_in, saved, state

from tabtools.cli import main
from tabtools.review.patch import suggestion
from tabtools.settings import Settings
from tabtools.website.collection import gather


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    return repository_in(tmp_path, monkeypatch)


# ---- taking


def test_a_correction_is_shown_and_committed(repository: GitRepository) -> None:
    done = applied(repository, PATCH, "--yes")
    assert done.exit_code == 0, done.stderr
    assert "2:8 G4, 1 of G7 → 2:10 A4, 2 of G7" in done.stdout
    assert "suggested by: Nell Quayle" in done.stdout
    assert repository.read() == BETTER
    assert repository.git("status", "--porcelain") == ""
    assert repository.git("log", "-1", "--format=%an, %cn") == "Ida Marlow, Ida Marlow\n"
    assert repository.git("log", "-1", "--format=%(trailers)").strip() == "Suggested-by: Nell Quayle"
    assert repository.git("log", "-1", "--format=%B").split("\n\n")[:3] == [
        "dusk: 1 note to another pitch (bar 2)",
        "> The tape has the higher note.",
        "In the recording at 0:42.3.",
    ]


def test_one_who_says_yes_is_obeyed(repository: GitRepository) -> None:
    assert applied(repository, PATCH, text="y\n").exit_code == 0
    assert repository.read() == BETTER


def test_a_patch_comes_through_a_pipe(repository: GitRepository) -> None:
    command = [sys.executable, "-P", "-m", "tabtools", "apply", "-", "--yes"]
    done = subprocess.run(command, input=PATCH.encode(), cwd=repository.folder, env=ENVIRONMENT, check=False)
    assert done.returncode == 0
    assert repository.read() == BETTER
    assert tabtools(repository.folder, "apply", "-").returncode == 2


def test_what_else_is_staged_stays_staged(repository: GitRepository) -> None:
    repository.write("to do\n", "notes.txt")
    repository.git("add", "notes.txt")
    assert applied(repository, PATCH, "--yes").exit_code == 0
    assert repository.git("show", "--name-only", "--format=").split() == [SOLO]
    assert repository.git("status", "--porcelain") == "A  notes.txt\n"


@pytest.mark.parametrize(("answer", "status"), [("", 2), ("\n", 1), ("n\n", 1)])
def test_one_who_does_not_say_yes_commits_nothing(repository: GitRepository, answer: str, status: int) -> None:
    saved(repository, PATCH)
    before = state(repository)
    done = applied(repository, PATCH, text=answer)
    assert done.exit_code == status
    assert state(repository) == before


def test_errors_are_not_taken_unasked(repository: GitRepository) -> None:
    wrong = suggestion(DUSK, DUSK.replace("3    1:7 -", "3    1:77 -"), SOLO)
    saved(repository, wrong)
    before = state(repository)
    done = applied(repository, wrong, "--yes")
    assert done.exit_code == 1
    assert "not committed: it brings 1 error" in done.stderr
    assert state(repository) == before


def test_what_is_no_music_is_not_taken_unasked(repository: GitRepository) -> None:
    done = applied(repository, suggestion(DUSK, DUSK.replace("bar 2  G7", "bar two"), SOLO), "--yes")
    assert done.exit_code == 1
    assert "it cannot be read as music" in done.stderr
    assert repository.read() == DUSK


def test_a_warning_that_becomes_an_error_is_not_taken_unasked(repository: GitRepository) -> None:
    bent = DUSK.replace("1    3:5 3:7", "1    1:1b2 3:7")
    repository.commit(bent)
    done = applied(repository, suggestion(bent, bent.replace("1:1b2", "1:1b4"), SOLO), "--yes")
    assert done.exit_code == 1
    assert "error, bend-force" in done.stdout and "warning, bend-force" in done.stdout
    assert "not committed: it brings 1 error" in done.stderr
    assert repository.read() == bent


@pytest.mark.parametrize(
    ("lesson", "beat", "now"),
    [
        ("`@2.2.2 G4` and `@2.2.2 A4`", "2    2:6 2:8", "2    2:6 2:10"),
        ("`@2.2 3 notes` and `@2.2 2 notes`", "2    2:6 2:8", "2    2:6 2:8 2:10"),
        ("`@2.1 3 notes` and `@2.2 2 notes`", "3:9\n2    2:6 2:8", "3:9 3:7\n2    2:6 2:8 2:10"),
    ],
    ids=["two pitches of one note", "two counts of one beat", "counts of two beats"],
)
def test_a_claim_that_becomes_false_where_another_was_is_not_taken_unasked(
    repository: GitRepository, lesson: str, beat: str, now: str
) -> None:
    """One of two claims is false, before the correction the first, after it the other."""
    repository.commit(f"{lesson}.\n", "two minds", LESSON)
    done = applied(repository, suggestion(DUSK, DUSK.replace(beat, now), SOLO), "--yes")
    assert done.exit_code == 1, done.stdout
    assert "no longer true in the lesson" in done.stdout
    assert "not committed: it brings 1 error" in done.stderr
    assert repository.read() == DUSK


def test_a_claim_that_was_false_and_stays_so_is_no_new_error(repository: GitRepository) -> None:
    repository.commit("`@2.2.2 C4`.\n", "wrong", LESSON)
    assert applied(repository, PATCH, "--yes").exit_code == 0
    assert repository.read() == BETTER


def test_a_hook_that_refuses_leaves_the_file_as_it_was(repository: GitRepository) -> None:
    refuse_commits(repository)
    saved(repository, PATCH)
    before = state(repository)
    done = applied(repository, PATCH, "--yes")
    assert done.exit_code == 2 and "git commit failed" in done.stderr
    assert state(repository) == before


def test_a_lesson_is_corrected_beside_its_solo(repository: GitRepository) -> None:
    old = repository.read(LESSON)
    patch = suggestion(old, old.replace("8 notes", "2 notes"), LESSON)
    done = applied(repository, patch, "--yes")
    assert done.exit_code == 0, done.stdout + done.stderr
    assert "findings mended" in done.stdout and "2 notes" in repository.read(LESSON)


def test_a_page_without_a_solo_is_no_lesson(repository: GitRepository) -> None:
    repository.commit("Read me.\n", "more", "transcriptions/README.md")
    done = applied(repository, suggestion("Read me.\n", "Read it.\n", "transcriptions/README.md"), "--yes")
    assert done.exit_code == 2 and "is no lesson" in done.stderr


def test_the_sender_cannot_forge_trailers(repository: GitRepository) -> None:
    said = "True.\n\nSigned-off-by: Ida Marlow <ida@slipway.example>\nSuggested-by: Somebody Else"
    forged = suggestion(DUSK, BETTER, SOLO, "", said, "x\nSigned-off-by: Ida")
    assert applied(repository, forged, "--yes").exit_code == 0
    assert repository.git("log", "-1", "--format=%(trailers)").strip() == ""


def test_hostile_words_reach_no_terminal(repository: GitRepository) -> None:
    patch = PATCH.replace("Nell Quayle", "Nell\x1b[2J\u202eQuayle").replace("The tape", "\x1b]0;x\x07The tape")
    done = applied(repository, patch, "--yes")
    assert done.exit_code == 0
    said = done.stdout + done.stderr + repository.git("log", "-1", "--format=%B")
    assert not {"\x1b", "\x07", "\u202e"} & set(said)


def test_the_maintainer_names_who_suggested_it(repository: GitRepository) -> None:
    assert applied(repository, PATCH, "--yes", "--credit", "Wilf\nGarrow").exit_code == 0
    assert repository.git("log", "-1", "--format=%(trailers)").strip() == "Suggested-by: Wilf Garrow"


def test_whitespace_settings_of_git_change_nothing(repository: GitRepository) -> None:
    repository.set("apply.whitespace", "fix")
    repository.set("apply.ignoreWhitespace", "change")
    assert "does not fit" in applied(repository, PATCH.replace(" 3    1:7 -", " 3  1:7 -"), "--yes").stderr
    spaced = suggestion(DUSK, DUSK.replace("2:6 2:8", "2:6 2:10  "), SOLO)
    assert applied(repository, spaced, "--yes").exit_code == 0
    assert "2:6 2:10  \n" in repository.read()


OTHER_VERSIONS = {
    "a line that is another": (
        DUSK.replace("2:6 2:8", "2:6 2:9"),
        "where line 16, in bar 2, is “2    2:6 2:8” and not “2    2:6 2:9”",
    ),
    "a line that is empty there": (
        DUSK.replace("1:8 1:7\n\nbar 2", "1:8 1:7\nbar 2"),
        "where line 12, in bar 1, is empty and not “4    1:8 1:7”",
    ),
    "further down": (
        BETTER.replace("2:6 2:10", "2:6 2:9").replace("\nbar 2", "\n# a remark\n\nbar 2"),
        "where line 18, in bar 2, is “2    2:6 2:8” and not “2    2:6 2:9”",
    ),
    "an empty line": (
        DUSK.replace("3    1:7 -\n", "\n3    1:7 -\n"),
        "where line 17, in bar 2, is “3    1:7 -” and not empty",
    ),
    "an end that comes earlier": (DUSK.partition("3    1:7")[0], "which has more than 16 lines"),
    "other white space": (
        DUSK.replace("3    1:7", "3  1:7"),
        "is “3    1:7 -” and not “3  1:7 -”",
    ),
    "the header": (DUSK.replace("Dusk", "Dawn"), "where line 1 is “title:        Ferry at Dusk” and not"),
}


@pytest.mark.parametrize(("text", "said"), OTHER_VERSIONS.values(), ids=OTHER_VERSIONS)
def test_a_correction_of_another_version_names_the_line(repository: GitRepository, text: str, said: str) -> None:
    repository.commit(text)
    patch = suggestion(DUSK, DUSK.replace("Dusk", "Dark"), SOLO) if "Dawn" in text else PATCH
    done = applied(repository, patch, "--yes")
    assert done.exit_code == 2
    assert "it was made from another version of the file, w" in done.stderr and said in done.stderr
    assert repository.read() == text


# ---- line ends


WINDOWS = DUSK.replace("\n", "\r\n").encode()
BETTER_WINDOWS = BETTER.replace("\n", "\r\n").encode()


def with_line_ends(repository: GitRepository, attributes: str, autocrlf: str, data: bytes) -> None:
    """The solo committed with these bytes in the working tree."""
    repository.set("core.autocrlf", autocrlf)
    if attributes:
        repository.write(f"{attributes}\n", ".gitattributes")
    (repository.folder / SOLO).write_bytes(data)
    repository.commit()


@pytest.mark.parametrize(
    ("attributes", "autocrlf", "committed"),
    [
        ("", "false", BETTER_WINDOWS),
        ("", "true", BETTER.encode()),
        ("*.solo text eol=crlf", "false", BETTER.encode()),
        ("*.solo text eol=lf", "false", BETTER.encode()),
        ("*.solo -text", "true", BETTER_WINDOWS),
    ],
    ids=["CRLF in git", "autocrlf", "eol=crlf", "eol=lf, an editor with CRLF", "no text"],
)
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["", "byte-order mark"])
def test_line_ends_stay_as_they_are(
    repository: GitRepository, attributes: str, autocrlf: str, committed: bytes, mark: bytes
) -> None:
    """A patch from a page, whose text has LF, against a file with CRLF."""
    with_line_ends(repository, attributes, autocrlf, mark + WINDOWS)
    done = applied(repository, PATCH, "--yes")
    assert done.exit_code == 0, done.stderr
    assert (repository.folder / SOLO).read_bytes() == mark + BETTER_WINDOWS
    in_git = ["git", "cat-file", "blob", f"HEAD:{SOLO}"]
    found = subprocess.run(in_git, cwd=repository.folder, env=ENVIRONMENT, capture_output=True, check=True).stdout
    assert found == mark + committed
    assert repository.git("status", "--porcelain") == ""
    assert "2:8 G4, 1 of G7 → 2:10 A4, 2 of G7" in done.stdout


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("title:        Ferry at Dusk", "title:        Ferry at Dawn"),
        ("player:       Ida Marlow", "player:       Nell Quayle"),
        ("title:", "# a remark\ntitle:"),
    ],
    ids=["its line changed", "as context", "another line before"],
)
def test_a_patch_that_git_made_of_a_file_with_a_byte_order_mark(repository: GitRepository, was: str, now: str) -> None:
    """Outside truth: what git made it from. The mark stands in its first line, before and after."""
    new = f"\ufeff{DUSK.replace(was, now)}"
    repository.commit(f"\ufeff{DUSK}")
    repository.write(new)
    made = repository.git("diff")
    repository.git("checkout", "--", SOLO)
    assert "\ufeff" in made and repository.read() != new
    done = applied(repository, made, "--yes")
    assert done.exit_code == 0, done.stderr
    assert repository.read() == new
    assert "has this correction already" in applied(repository, made, "--yes").stderr


def test_mixed_line_ends_stay_mixed(repository: GitRepository) -> None:
    mixed = DUSK.encode().replace(b"bar 2  G7\n", b"bar 2  G7\r\n")
    with_line_ends(repository, "", "false", mixed)
    assert applied(repository, PATCH, "--yes").exit_code == 0
    assert (repository.folder / SOLO).read_bytes() == BETTER.encode().replace(b"bar 2  G7\n", b"bar 2  G7\r\n")


def test_line_ends_that_attributes_forbid_are_mended_first(repository: GitRepository) -> None:
    with_line_ends(repository, "", "false", WINDOWS)
    repository.write("*.solo text eol=lf\n", ".gitattributes")
    (repository.folder / SOLO).write_bytes(b"")
    (repository.folder / SOLO).write_bytes(WINDOWS)
    done = applied(repository, PATCH, "--yes")
    assert done.exit_code == 2
    assert f"git add --renormalize {SOLO}, commit that, then try again" in done.stderr
    repository.git("add", "--renormalize", SOLO)
    repository.commit(message="one kind of line ends")
    assert applied(repository, PATCH, "--yes").exit_code == 0


def test_a_file_without_its_last_newline(repository: GitRepository) -> None:
    repository.commit(DUSK.rstrip("\n"))
    assert applied(repository, PATCH, "--yes").exit_code == 0
    assert repository.read() == BETTER


# ---- hostile text that is taken


MARKUP = "<script>alert(1)</script><img src=x onerror=alert(1)>\"' ](javascript:alert(1)) `x` &lt;"
FIELDS = ("player:       Ida Marlow", "recording:    slipway tape", "title:        Ferry at Dusk")


def test_markup_in_every_field_stays_text_wherever_it_is_shown(repository: GitRepository) -> None:
    """In the patch's head, the solo and its lesson; on the terminal, in the commit, the review, on the site."""
    repository.git("tag", "base")
    bad = BETTER.replace("bar 1  Dm7", f"section A  {MARKUP}\n\nbar 1  Dm7  # {MARKUP}")
    for field in FIELDS:
        assert field in bad
        bad = bad.replace(field, f"{field} {MARKUP}")
    bad += f"\npassage 1.1-2.2  {MARKUP}\n"
    patch = suggestion(repository.read(), bad, SOLO, MARKUP, MARKUP, MARKUP)
    assert applied(repository, patch, "--yes").exit_code == 0
    lesson = repository.read(LESSON)
    patch = suggestion(lesson, f"{lesson}\n{MARKUP} `@2.4 2 notes {MARKUP}`\n", LESSON, MARKUP, MARKUP, MARKUP)
    assert applied(repository, patch, text="y\n").exit_code == 0
    assert repository.git("log", "-1", "--format=%(trailers:key=Suggested-by,valueonly)").strip() == MARKUP
    for command in (["review", "base..HEAD", "--format", "html"], ["diff", "base..HEAD", "--format", "html"]):
        page = CliRunner().invoke(main, command, catch_exceptions=False).output
        assert "alert(1)" in page and not re.search(r"<script>alert|<img", page)
    settings = Settings(root=repository.folder)
    (repository.folder / LESSON).write_text(lesson.replace("8 notes", "2 notes"), encoding="utf-8")
    found = gather(repository.folder / "transcriptions", settings)
    (corrections,) = (one for one in found.gathered if "corrections" in one.path)
    for html in (found.history.by_slug["dusk"], corrections.body(found.links)):
        assert "alert(1)" in html and not re.search(r"<script|<img", html)
