"""tabtools diff as it is used: files, revisions and the working tree, its formats and exit statuses."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from git_repositories import ENVIRONMENT, SOLO, GitRepository, new_repository
from test_git_merges import DUSK, changed

from tabtools.cli import main

LESSON = SOLO.replace(".solo", ".md")
NOTE = ("4    1:10 1:8", "4    1:10 1:9")
CORRECTED = changed(NOTE)


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    found = new_repository(tmp_path / "solos", DUSK)
    monkeypatch.chdir(found.folder)
    return found


def diff(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["diff", *arguments], catch_exceptions=False)


# ---- what is compared


def test_nothing_changed(repository: GitRepository) -> None:
    result = diff()
    assert (result.exit_code, result.output) == (0, "nothing changed\n")


def test_the_working_tree_with_the_last_commit(repository: GitRepository) -> None:
    repository.write(CORRECTED)
    result = diff()
    assert result.exit_code == 3
    assert "2.4.2  1:8 C5, 4 of G7 → 1:9 C#5, #4 of G7 (other pitch)" in result.output


def test_what_is_staged_belongs_to_the_working_tree(repository: GitRepository) -> None:
    repository.write(CORRECTED)
    repository.git("add", "--all")
    assert diff().exit_code == 3


def test_a_solo_git_does_not_know_yet_is_new(repository: GitRepository) -> None:
    repository.write(CORRECTED, "transcriptions/dawn.solo")
    result = diff()
    assert result.exit_code == 3
    assert result.output.startswith("transcriptions/dawn.solo\n  a new solo: 3 bars\n")


def test_a_solo_that_is_gone(repository: GitRepository) -> None:
    (repository.folder / SOLO).unlink()
    result = diff()
    assert (result.exit_code, result.output) == (3, f"{SOLO}\n  gone: 3 bars\n")


def test_two_revisions(repository: GitRepository) -> None:
    repository.commit(CORRECTED)
    assert diff("HEAD~1..HEAD").exit_code == 3
    assert diff("HEAD..HEAD").exit_code == 0
    assert diff("HEAD~1..").output == diff("HEAD~1..HEAD").output


def test_three_dots_leave_out_what_happened_on_the_other_side(repository: GitRepository) -> None:
    repository.branch("correction", CORRECTED)
    repository.git("checkout", "--quiet", "main")
    repository.commit(changed(("126", "140")))
    assert "tempo" in diff("main..correction").output
    assert "tempo" not in diff("main...correction").output


def test_paths_choose_also_by_the_name_before_a_rename(repository: GitRepository) -> None:
    repository.write(DUSK, "transcriptions/dawn.solo")
    repository.commit(message="another")
    repository.git("mv", SOLO, "transcriptions/ferry.solo")
    repository.commit(CORRECTED, name="transcriptions/ferry.solo")
    for path in ("transcriptions/ferry.solo", SOLO):
        result = diff("HEAD~1..HEAD", path)
        assert result.output.startswith(f"transcriptions/ferry.solo (was {SOLO})\n")
    assert diff("HEAD~1..HEAD", "transcriptions/dawn.solo").exit_code == 0


def test_two_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("a.solo").write_text(DUSK)
    Path("b.solo").write_text(CORRECTED)
    assert diff("a.solo", "b.solo").output.startswith("b.solo (was a.solo)\n  1 note to another pitch (bar 2)\n")
    assert diff("--name", SOLO, "a.solo", "b.solo").output.startswith(f"{SOLO}\n")
    assert diff("a.solo", "a.solo").exit_code == 0


def test_before_the_first_commit_everything_is_new(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repository = new_repository(tmp_path / "solos")
    repository.write(DUSK)
    monkeypatch.chdir(repository.folder)
    assert diff().output.startswith(f"{SOLO}\n  a new solo: 3 bars\n")


# ---- what the status says


def test_layout_comments_and_lessons_are_no_music(repository: GitRepository) -> None:
    repository.write(DUSK.replace("    ", "  "))
    result = diff()
    assert (result.exit_code, result.output) == (
        1, f"{SOLO}\n  written otherwise\n\n  the whole file\n    (laid out otherwise)\n",
    )  # fmt: skip
    repository.write(changed(("bar 2  G7", "bar 2  G7  # the turn")))
    assert diff().exit_code == 1
    repository.write(DUSK)
    repository.write("# Ferry at Dusk\n", LESSON)
    result = diff()
    assert result.exit_code == 1
    assert "+# Ferry at Dusk" in result.output


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["nowhere..HEAD"], "“nowhere” names no commit here; git log shows the commits there are"),
        (["--output=x..HEAD"], None),
        (["HEAD~0..", "../other"], "../other lies outside this repository; name two files to compare"),
    ],
)
def test_what_cannot_run(repository: GitRepository, arguments: list[str], said: str | None) -> None:
    result = diff(*arguments)
    assert result.exit_code == 2
    if said is not None:
        assert result.output == f"tabtools: {said}\n"
    assert not (repository.folder / "x..HEAD").exists()


def test_outside_of_a_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    result = diff()
    assert (result.exit_code, result.output) == (
        2, "tabtools: this folder belongs to no git repository; name two files to compare\n",
    )  # fmt: skip


def test_without_git_two_files_can_still_be_compared(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PATH", "")
    Path("a.solo").write_text(DUSK)
    assert diff("a.solo", "a.solo").exit_code == 0
    assert diff().output == "tabtools: git is not installed; install it, or name two files to compare\n"


# ---- what cannot be read


def test_where_the_older_version_has_lines_that_cannot_be_read_the_rest_is_compared(repository: GitRepository) -> None:
    repository.commit(changed(("4    - .", "4    - 3:"), ("1    3:5 3:7", "1    3:5 3:")), "with slips")
    repository.write(changed(("4    - .", "4    - 3:5"), ("1    3:5 3:7", "1    3:5 3:9")))
    expected = """\
transcriptions/dusk.solo
  2 lines mended that could not be read (bars 1 and 3), told as added; other
    rhythm (bars 1 and 3); 3 notes added (bars 1 and 3)

  bar 1  Dm7
    1.1    1 3:5 3:9 (line mended)
    1.1.1  3:5 C4, b7 of Dm7 (added)
    1.1.2  3:9 E4, 2 of Dm7 (added)

  bar 3  Cmaj7
    3.4    4 - 3:5 (line mended)
    3.4.1  3:5 C4, 1 of Cmaj7 (added)

  could not be read before
    line 9: 1    3:5 3:
    line 24: 4    - 3:
  findings mended
    the fret is missing after the string (error, syntax), 2 times
"""
    assert diff().output == expected


def test_where_a_bar_could_not_be_read_before_the_texts_are_shown(repository: GitRepository) -> None:
    repository.commit(changed(("bar 2  G7", "bar two  G7")), "with a slip")
    repository.write(changed(("bar 2  G7", "bar 2  G7")))
    said = diff().output
    assert "cannot be read as music; this is how the texts differ" in said and "+bar 2  G7" in said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (changed(("4    - .", "4    - what")), "line 24 cannot be read, so bar 3 is left out"),
        (changed(("title:", "titel "), ("4    - .", "4    - 3:5")), "line 1 cannot be read as music; this is how"),
        (
            changed(("4    - .", "4    - \x00")),
            "a NUL byte is not allowed in a solo file; this is how the texts differ",
        ),
    ],
)
def test_what_cannot_be_read_is_shown_as_text(repository: GitRepository, text: str, said: str) -> None:
    repository.write(text)
    result = diff()
    assert result.exit_code == 3
    assert said in " ".join(result.output.split())
    assert "-4    - ." in result.output


def test_of_a_line_that_cannot_be_read_now_the_bar_alone_is_text(repository: GitRepository) -> None:
    repository.write(changed(("4    - .", "4    - what"), ("bar 2  G7", "bar 2  G13")))
    said = diff().output
    assert said.endswith("\n\n-4    - .\n+4    - what\n")
    assert "line 24 cannot be read, so bar 3 is left out; 1 chord changed (bar 2)\n" in said
    assert "\n  bar 2  G13\n" in said and "\n  bar 3" not in said


def test_the_same_text_is_the_same_whatever_it_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("a.solo").write_text("no solo at all\n")
    result = diff("a.solo", "a.solo")
    assert (result.exit_code, result.output) == (0, "nothing changed\n")


def test_a_file_far_too_long_is_not_read(repository: GitRepository) -> None:
    repository.commit(f"{DUSK}{'# ' * 600_000}\n")
    repository.commit(DUSK)
    result = diff("HEAD~1..HEAD")
    assert result.exit_code == 3
    assert "the file has 1,200,3" in result.output


def test_links_are_not_followed(repository: GitRepository, tmp_path: Path) -> None:
    secret = tmp_path / "secret.solo"
    secret.write_text(f"title: secret\n{DUSK}")
    (repository.folder / "transcriptions" / "link.solo").symlink_to(secret)
    assert "link" not in diff().output
    repository.commit(message="a link")
    assert "link" not in diff("HEAD~1..HEAD").output


# ---- hostile surroundings


def test_names_cannot_speak_to_the_terminal(repository: GitRepository) -> None:
    repository.write(DUSK, "transcriptions/a\x1b[31mb.solo")
    result = diff()
    assert "\x1b" not in result.output
    assert "a␛[31mb.solo" in result.output


def test_settings_and_variables_start_nothing(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    repository.write("*.solo diff=solo\n", ".gitattributes")
    repository.commit(CORRECTED)
    for name in ("diff.external", "diff.solo.textconv", "core.fsmonitor", "core.pager"):
        repository.set(name, "touch started; false")
    for name in ("GIT_EXTERNAL_DIFF", "GIT_PAGER"):
        monkeypatch.setenv(name, "touch started; false")
    monkeypatch.setenv("GIT_GLOB_PATHSPECS", "1")
    monkeypatch.setenv("GIT_TRACE", str(repository.folder / "started"))
    assert diff("HEAD~1..HEAD").exit_code == 3
    repository.write(DUSK)
    assert diff().exit_code == 3
    assert not list(repository.folder.rglob("started"))


# ---- formats


def test_every_line_fits_a_terminal(repository: GitRepository) -> None:
    repository.write(
        changed(
            NOTE, ("Ferry at Dusk", "Ferry at Dusk, " * 12), ("3    1:7 -", f"3    1:7b9b10b9 -  # {'slack ' * 30}")
        )
    )
    repository.write("One line of prose, " * 20 + "\n", LESSON)
    result = diff()
    assert max(map(len, result.output.splitlines())) <= 80
    assert "\x1b" not in result.output


def test_json(repository: GitRepository) -> None:
    repository.write("The C, `@2.4.2 C5`.\n", LESSON)
    repository.commit(message="a lesson")
    repository.write(CORRECTED)
    result = diff("--format", "json")
    (file,) = json.loads(result.output)
    (change,) = file["changes"]
    assert (file["path"], file["status"], file["music"]) == (SOLO, "changed", True)
    assert (change["kinds"], change["old"], change["new"]) == (["pitch"], "2.4.2", "2.4.2")
    assert (change["was"], change["now"]) == ("1:8", "1:9")
    assert [(note["pitch"], note["degree"], note["chord"]) for note in change["sounds"]] == [("C#5", "#4", "G7")]
    (claim,) = file["consequences"]["false_claims"]
    assert claim["message"] == "2.4.2 is C#5, the #4 of G7; the text says C5"
    assert json.loads(diff("--format", "json", "HEAD..HEAD").output) == []


def test_markdown_shows_what_people_wrote_as_they_wrote_it(repository: GitRepository) -> None:
    repository.write(
        changed(("Ferry at Dusk", "`<script>`[x](http://a) @ida ![](b)"), ("bar 2  G7", "bar 2  G7  # ``` <b>"))
    )
    text = diff("--format", "markdown").output
    assert "- title: `Ferry at Dusk` → `` `<script>`[x](http://a) @ida ![](b) `` (changed)" in text
    assert "→ ```` # ``` <b> ````" in text
    assert diff("--format", "markdown", "HEAD..HEAD").output == "Nothing changed.\n"


FORMATS = ("text", "json", "markdown", "html")


def said_in(form: str, *arguments: str) -> str:
    """What a format tells, on one line, its escapes resolved."""
    text = unescape(diff("--format", form, *arguments).output)
    return re.sub(r"[\s*]+|(?<=\w)- *\n", " ", text)


@pytest.mark.parametrize("form", FORMATS)
def test_every_format_tells_what_follows(repository: GitRepository, form: str) -> None:
    """Findings that come and go, claims that become false, the hands, and links of other lessons."""
    links = "Like [its turn](dusk.md#b2.4) and [its end](dusk.md#b3).\n"
    repository.write(DUSK, "transcriptions/dawn.solo")
    repository.write(links, "transcriptions/dawn.md")
    repository.write("The C, `@2.4.2 C5`.\n", LESSON)
    repository.commit(changed(("3    1:5 -", "3    1:5? -")))
    repository.write(changed(NOTE, ("1    3:5 3:7", "1    3:5+2:11 3:7")))
    for arguments in ([], ["HEAD~1..HEAD"]):
        said = said_in(form, *arguments)
        assert "2.4.2 is C#5, the #4 of G7; the text says C5" in said
        assert "is an uncertain reading" in said and "reach" in said
        if form == "json":
            assert (
                '"path": "transcriptions/dawn.md", "line": 1, "slug": "dusk", "bar": 2, "fate": "bar changed"' in said
            )
        else:
            assert "transcriptions/dawn.md, line 1: links to bar 2 of dusk, which is another now" in said
        assert "bar 3 of dusk" not in said
        repository.commit(message="all of it")


@pytest.mark.parametrize("form", FORMATS)
def test_every_format_tells_what_is_settled(repository: GitRepository, form: str) -> None:
    repository.commit(changed(NOTE, ("3    1:7 -", "3?   =D4 ?"), ("bar 2  G7", "bar 2  G7?")))
    repository.write(changed(NOTE, ("3    1:7 -", "3    3:7=D4 =C4"), ("bar 2  G7", "bar 2  G7")))
    said = said_in(form)
    for words in (
        "1 chord settled (bar 2); rhythm settled (bar 2); 1 note placed (bar 2); 1 note heard (bar 2)",
        "chord settled: G7",
        "place decided: D4 at 3:7",
        "pitch heard: C4, its place still open",
        "rhythm settled",
    ):
        assert words in said


def test_links_of_pages_git_does_not_know_yet_count(repository: GitRepository) -> None:
    repository.git("mv", SOLO, "transcriptions/evening.solo")
    repository.write("See [it](../transcriptions/dusk.md).\n", "site_docs/new.md")
    repository.write(CORRECTED, "transcriptions/evening.solo")
    assert "site_docs/new.md, line 1: links to dusk, which is called evening now" in said_in("text")


def test_settings_of_grep_change_nothing(repository: GitRepository) -> None:
    repository.commit("See [it](dusk.md#b2).\n", name="transcriptions/dawn.md")
    for name, value in (("grep.column", "true"), ("grep.lineNumber", "false"), ("color.grep", "always")):
        repository.set(name, value)
    repository.write(CORRECTED)
    assert "links to bar 2 of dusk" in said_in("text")


def test_a_page_of_two_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("a.solo").write_text(DUSK)
    Path("b.solo").write_text(CORRECTED)
    result = diff("a.solo", "b.solo", "--to", "out/changes.html")
    assert (result.exit_code, result.output) == (3, "out/changes.html: written\n")
    page = Path("out/changes.html").read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>") and "<h1>What changed: a.solo b.solo</h1>" in page
    assert page.partition("<main>")[2].count('class="rv-now" x=') == 1
    assert diff("a.solo", "b.solo", "--format", "html").output == page
    assert diff("a.solo", "a.solo", "--format", "html").exit_code == 0


def test_a_report_in_a_file_has_no_colours(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    repository.write(CORRECTED)
    monkeypatch.setattr("tabtools.cli.base._colour", lambda: True)
    assert diff("--to", "changes.txt").exit_code == 3
    assert "\x1b" not in (repository.folder / "changes.txt").read_text()
    assert diff("--to", "changes.json", "--format", "json").exit_code == 3
    assert json.loads((repository.folder / "changes.json").read_text())[0]["path"] == SOLO
