"""The review of a range of commits: a page that stands by itself, in a real browser too, and Markdown for a comment."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from browser import watched
from click.testing import CliRunner
from git_repositories import ENVIRONMENT, SOLO, GitRepository, new_repository
from playwright.sync_api import Browser

from tabtools.cli import main
from tabtools.problem import Problem, Severity
from tabtools.reports.comparison import FileChange
from tabtools.reports.review import headline
from tabtools.review.consequences import Consequences
from tabtools.source import Span

ROOT = Path(__file__).parents[2]
LESSON = "transcriptions/dusk.md"
DUSK = """\
title:        Ferry at Dusk
player:       Ida Marlow
recording:    slipway tape
rights:       CC0-1.0
meter:        4/4
tempo:        240

section A  Vamp

bar 1  Dm7
1    3:5 3:7
2    2:5 2:8
3    1:5 -
4    1:8 1:7

bar 2  G7
1    3:7 3:9
2    2:6 2:8
3    1:7 -
4    1:10 1:8

bar 3  Cmaj7
1    3:9+2:8 -
2    2:8 1:7
3    1:8 -
4    - .
"""
BETTER = DUSK.replace("2    2:6 2:8", "2    2:6 2:10").replace("3:9+2:8", "3:9+2:10").replace("240", "232")
HOSTILE = {
    "script": "<script>alert(1)</script>",
    "image": '"><img src=x onerror=alert(1)>',
    "svg": "</title></svg><svg onload=alert(1)>",
    "style": "</style><style>body{display:none}</style>",
    "link": "[x](javascript:alert(1))",
    "attribute": "' onmouseover='alert(1)",
    "comment": "--><!--",
    "data": "</script><script>alert(1)</script>",
    "mention": "@everyone #1 ![x](http://example.org/x.png)",
    "fence": "``` ```` `x`",
}


@pytest.fixture(autouse=True)
def no_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> GitRepository:
    found = new_repository(tmp_path / "solos", DUSK)
    found.commit("Bar 2 has `@2.2.2 G4, 1 of G7`.\n", "a lesson", LESSON)
    found.git("tag", "base")
    monkeypatch.chdir(found.folder)
    return found


def reviewed(*arguments: str) -> str:
    done = CliRunner().invoke(main, ["review", "base..HEAD", *arguments], catch_exceptions=False)
    assert done.exit_code == 0, done.stderr
    return done.stdout


class Outline(HTMLParser):
    """What a browser would find: tags with attributes, and the text outside of script and style."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words = ""
        self._quiet = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._quiet = tag if tag in ("script", "style") else self._quiet

    def handle_endtag(self, tag: str) -> None:
        self._quiet = "" if tag == self._quiet else self._quiet

    def handle_data(self, data: str) -> None:
        self.words += "" if self._quiet else data

    def having(self, kind: str) -> list[dict[str, str | None]]:
        return [attributes for _, attributes in self.tags if kind in (attributes.get("class") or "").split()]


# ---- what stands on it


def test_each_changed_bar_stands_before_and_after(repository: GitRepository) -> None:
    repository.commit(BETTER)
    page = Outline(reviewed("--format", "html"))
    titles = re.findall(r"(Before|After), (bar \d+)", page.words)
    assert titles == [("Before", "bar 2"), ("After", "bar 2"), ("Before", "bar 3"), ("After", "bar 3")]
    assert len(page.having("tt-bar")) == 4
    assert "2.2.2 2:8 G4, 1 of G7 → 2:10 A4, 2 of G7 (other pitch)" in page.words
    assert "tempo: 240 → 232" in page.words


def test_changed_notes_are_marked_by_shape(repository: GitRepository) -> None:
    repository.commit(BETTER)
    page = reviewed("--format", "html")
    marks = re.findall(
        r'<g id="f0-(old|new)-b([\d.]+)" class="stroke"><rect class="rv-(was|now)" x="[-\d.]+" y="(\S+)"', page
    )
    assert marks == [
        ("old", "2.2.2", "was", "4"),
        ("new", "2.2.2", "now", "4"),
        ("old", "3.1.1", "was", "4"),
        ("new", "3.1.1", "now", "4"),
    ]
    style = page[: page.index("</style>")]
    assert "stroke-dasharray" in style[style.index(".rv-was") :]


def test_a_mark_stands_around_the_frame_of_what_has_no_place(repository: GitRepository) -> None:
    repository.commit(BETTER.replace("2:10", "=A4"))
    page = reviewed("--format", "html")
    mark, frame = re.search(
        r'class="stroke"><rect class="rv-now" x="\S+" y="(\S+)"[^>]*/>.*?<rect class="frame" x="\S+" y="(\S+)"',
        page,
        re.DOTALL,
    ).groups()
    assert float(mark) == float(frame) - 3 < -20


def test_no_two_things_share_an_id(repository: GitRepository) -> None:
    repository.commit(BETTER)
    repository.commit(DUSK, name="transcriptions/dawn.solo")
    ids = [attributes["id"] for _, attributes in Outline(reviewed("--format", "html")).tags if "id" in attributes]
    assert len(ids) == len(set(ids)) > 20


@pytest.mark.parametrize(
    ("music", "layout", "said"),
    [
        (1, 0, "1 solo changed in its music"),
        (0, 1, "1 solo changed, but not in its music"),
        (3, 0, "3 solos changed in their music"),
        (0, 2, "2 solos changed, but not in their music"),
        (1, 1, "2 solos changed, 1 of them in its music"),
        (2, 1, "3 solos changed, 2 of them in their music"),
    ],
)
def test_solos_that_changed_are_counted(music: int, layout: int, said: str) -> None:
    assert headline([FileChange("", "", "unreadable")] * music + [FileChange("", "")] * layout).startswith(said)


@pytest.mark.parametrize(
    ("appeared", "vanished", "said"),
    [
        ([], 2, "2 findings mended"),
        (["error"], 2, "1 new error; 2 findings mended"),
        (["error", "note", "note"], 2, "1 new error; 3 new findings, 2 mended"),
        (["note"], 0, "1 new finding"),
    ],
)
def test_findings_that_came_are_told_beside_those_that_went(appeared: list[str], vanished: int, said: str) -> None:
    def found(severity: str) -> Problem:
        return Problem("move-direction", Severity(severity), "dusk.solo", Span(0, 1), "goes down")

    consequences = Consequences(tuple(map(found, appeared)), (found("note"),) * vanished)
    told = headline([FileChange("", "", "unreadable", consequences=consequences)])
    assert told.removesuffix("; 1 file that cannot be read as music") == f"1 solo changed in its music; {said}"


def test_consequences_are_told(repository: GitRepository) -> None:
    repository.commit(BETTER)
    words = Outline(reviewed("--format", "html")).words
    assert "No longer true in the lesson" in words
    assert "1 claim of the lessons no longer true" in words


def test_the_lint_stands_there_whole_before_and_after(repository: GitRepository) -> None:
    doubtful = DUSK.replace("3    1:5 -", "3    1:5? -").replace("3    1:7 -", "3    1:7? -")
    repository.commit(doubtful)
    repository.git("tag", "--force", "base")
    repository.commit(doubtful.replace("1:7?", "1:7").replace("3    1:8 -", "3    1:8? -"))
    page = reviewed("--format", "html")
    lint = page[page.index('<details class="rv-lint">') : page.index("</details>")]
    assert "Lint: 2 open things before, 2 after: 1 new, 1 gone" in lint
    before, after = lint.split("<h4>After</h4>")
    assert [re.findall(r"(?:[−+] \w+:|\d\.\d\.\d)", Outline(side).words) for side in (before, after)] == [
        ["1.3.1", "− gone:", "2.3.1"],
        ["1.3.1", "+ new:", "3.3.1"],
    ]
    assert "lint: 2 open things before, 2 after: 1 new, 1 gone" in reviewed()


def test_the_lint_of_what_cannot_be_read_stands_there_too(repository: GitRepository) -> None:
    repository.commit(DUSK.replace("bar 2  G7", "bar two"))
    words = Outline(reviewed("--format", "html")).words
    assert "+ new: " in words and "(error, syntax)" in words


def test_lessons_new_and_gone_solos_and_other_files(repository: GitRepository) -> None:
    repository.commit(BETTER, name="transcriptions/dawn.solo")
    repository.commit("Another text.\n", name=LESSON)
    repository.commit("x\n", name="notes/<b>.txt")
    words = Outline(reviewed("--format", "html")).words
    assert "a new solo: 3 bars" in words and "The solo, new, bars 1 to 3" in words
    assert "+Another text." in words and "-Bar 2 has" in words
    assert "notes/<b>.txt" in words
    (repository.folder / SOLO).unlink()
    repository.commit()
    assert "gone: 3 bars" in Outline(reviewed("--format", "html")).words


def test_a_bar_that_came_has_nothing_before(repository: GitRepository) -> None:
    repository.commit(DUSK + "\nbar 4  Am7\n1-4  3:5\n")
    words = Outline(reviewed("--format", "html")).words
    assert "Beforenothing" in words and "After, bar 4" in words


def test_what_cannot_be_read_is_shown_as_text(repository: GitRepository) -> None:
    repository.commit(DUSK.replace("bar 2  G7", "bar two"))
    words = Outline(reviewed("--format", "html")).words
    assert "cannot be read as music; this is how the texts differ" in words
    assert "+bar two" in words and "-bar 2  G7" in words


def test_only_comments_draw_nothing(repository: GitRepository) -> None:
    repository.commit(DUSK.replace("bar 2  G7", "bar 2  G7  # a remark"))
    page = reviewed("--format", "html")
    assert "a remark" in page and "tt-bar" not in page.partition("<main>")[2]


def test_a_retuning_is_one_change(repository: GitRepository) -> None:
    repository.commit(DUSK.replace("tempo: ", "tuning:       half step down\ntempo: "))
    assert "tt-bar" not in reviewed("--format", "html").partition("<main>")[2]


def test_nothing_changed(repository: GitRepository) -> None:
    assert "No solo changed." in Outline(reviewed("--format", "html")).words
    assert "No solo changed." in reviewed()


def test_only_changed_files_are_read(repository: GitRepository, monkeypatch: pytest.MonkeyPatch) -> None:
    from tabtools.cli import differences

    for number in range(20):
        repository.write(DUSK, f"transcriptions/other-{number}.solo")
    repository.commit()
    repository.git("tag", "--force", "base")
    repository.commit(BETTER)
    read: list[str] = []
    subject_of = differences.subject_of
    monkeypatch.setattr(
        differences, "subject_of", lambda source, profile: read.append(source.path) or subject_of(source, profile)
    )
    reviewed()
    assert read == [SOLO, SOLO]


def test_links_from_other_lessons_that_lead_astray(repository: GitRepository) -> None:
    links = "Like [bar one](dusk.md#b1), [two](dusk.solo#b2.1) and [three](dusk.md#b3.1.2), see [it](dusk.md).\n"
    repository.commit(DUSK, name="transcriptions/dawn.solo")
    repository.commit(links, name="transcriptions/dawn.md")
    repository.commit(links, name="transcriptions/noon.md")
    repository.git("tag", "--force", "base")
    repository.commit(links + "\nMore.\n", name="transcriptions/noon.md")
    gone = DUSK.index("bar 2"), DUSK.index("bar 3")
    repository.commit(
        DUSK.replace("1    3:5 3:7", "1    3:5 3:8")[: gone[0]] + DUSK[gone[1] :].replace("bar 3", "bar 2")
    )
    for said in (reviewed(), Outline(reviewed("--format", "html")).words):
        for row in ("1 of dusk, which is another", "2 of dusk, which is gone", "3 of dusk, which is bar 2"):
            assert f"transcriptions/dawn.md, line 1: links to bar {row}" in said.replace("&#58;", ":")
        assert "noon.md, line" not in said
    repository.git("mv", SOLO, "transcriptions/evening.solo")
    repository.commit()
    assert "which is called evening now" in reviewed()
    (repository.folder / "transcriptions/evening.solo").unlink()
    repository.commit()
    assert "links to dusk, which is gone" in reviewed()


# ---- hostile text


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_text_arrives_as_text(repository: GitRepository, text: str) -> None:
    plain = Outline(reviewed("--format", "html"))
    bad = BETTER.replace("Ferry at Dusk", text).replace("Vamp", text) + f"\npassage 1.1-2.2  {text}\n"
    repository.commit(bad.replace("bar 2  G7", f"bar 2  G7  # {text}"))
    repository.commit(f"{text} `@2.2.2 {text}`\n", name=LESSON)
    repository.commit(f"bar {text}\n", name="transcriptions/broken.solo")
    page = reviewed("--format", "html")
    outline = Outline(page)
    allowed = {"script", "svg", "rect", "meta", "style", "title", "a"}
    assert text in outline.words
    assert {tag for tag, _ in outline.tags} & {"img", "iframe", "object", "embed", "form", "base", "link"} == set()
    assert not [name for _, attributes in outline.tags for name in attributes if name.startswith("on")]
    assert sum(tag == "style" for tag, _ in outline.tags) == sum(tag == "style" for tag, _ in plain.tags)
    assert [a for tag, a in outline.tags if tag == "script" and a.get("type") != "application/json"] == [{}]
    assert all((a.get("href") or "#").startswith("#") for tag, a in outline.tags if tag in allowed | {"use"})


def test_controls_never_arrive(repository: GitRepository) -> None:
    signs = "\x1b[2J\u202e\x07"
    repository.commit(BETTER.replace("Vamp", f"Vamp {signs}"))
    repository.commit(f"{signs}\n", name=LESSON)
    repository.commit(DUSK, name=f"transcriptions/a{signs}.solo")
    for page in (reviewed("--format", "html"), reviewed()):
        assert not set(signs[:1] + signs[4:]) & set(page)


def test_markdown_holds_no_markup(repository: GitRepository) -> None:
    repository.commit(BETTER.replace("Ferry at Dusk", HOSTILE["script"]).replace("Vamp", HOSTILE["mention"]))
    said = re.sub(r"(`+)[^`].*?\1", "", reviewed(), flags=re.DOTALL)
    assert "<" not in said and "@everyone" not in said and "](" not in said


def test_markdown_fits_into_a_comment(repository: GitRepository) -> None:
    bars = "\n".join(f"bar {number}\n1-4  3:{number % 12}+2:{number % 7}\n" for number in range(4, 800))
    repository.commit(f"{DUSK}\n{bars}")
    repository.git("tag", "--force", "base")
    repository.commit(f"{DUSK}\n{bars}".replace("1-4  3:", "1-4  4:"))
    said = reviewed()
    assert len(said) <= 60_001 and "too long for a comment" in said and SOLO in said


# ---- the command


def test_the_page_is_written_where_it_is_asked_for(repository: GitRepository) -> None:
    repository.commit(BETTER)
    done = CliRunner().invoke(main, ["review", "base..", "--to", "out/review.html"])
    assert done.output == "out/review.html: written\n"
    assert Path("out/review.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


@pytest.mark.parametrize(("range_", "said"), [("base", "no two revisions"), ("base..nowhere", "names no commit here")])
def test_unknown_revisions(repository: GitRepository, range_: str, said: str) -> None:
    done = CliRunner().invoke(main, ["review", range_])
    assert done.exit_code == 2 and said in done.stderr


def test_three_dots_leave_out_what_the_base_did_since(repository: GitRepository) -> None:
    repository.git("checkout", "--quiet", "-b", "correction", "base")
    repository.commit(BETTER)
    repository.git("checkout", "--quiet", "main")
    repository.commit("The base goes on.\n", name=LESSON)
    two, three = (CliRunner().invoke(main, ["review", f"main{dots}correction"]).stdout for dots in ("..", "..."))
    assert "The base goes on" in two and "The base goes on" not in three


# ---- in a browser


@pytest.mark.browser
@pytest.mark.parametrize("width", [1280, 390], ids=["desktop", "phone"])
@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without"])
def test_the_page_in_a_browser(repository: GitRepository, browser: Browser, width: int, scripts: bool) -> None:
    hostile = " ".join(HOSTILE.values())
    repository.commit(BETTER.replace("Ferry at Dusk", hostile).replace("Vamp", hostile))
    repository.commit(f"bar {hostile}\n", name="transcriptions/broken.solo")
    CliRunner().invoke(main, ["review", "base..", "--to", "review.html"], catch_exceptions=False)
    address = (repository.folder / "review.html").as_uri()
    view = {"width": width, "height": 844}
    with watched(browser, address, viewport=view, java_script_enabled=scripts) as page:
        page.goto(address)
        assert page.locator(".rv-was:visible").count() == 3 and page.locator(".rv-now:visible").count() == 3
        shown = page.evaluate("[document.documentElement.scrollWidth, innerWidth]") if scripts else [0, 0]
        assert shown[0] <= shown[1]
        buttons = page.locator("button:visible")
        assert buttons.count() == (4 if scripts else 0)
        if scripts:
            play = buttons.nth(1)
            play.click()
            page.wait_for_function("button => button.textContent === 'Stop'", arg=play.element_handle())
            page.wait_for_function("button => button.textContent === 'Play'", arg=play.element_handle())
