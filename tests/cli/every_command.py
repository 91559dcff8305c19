"""Every command, and the page of the site, on one solo: how each is asked, and what it may answer."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any, NamedTuple
from xml.etree import ElementTree

from click.testing import CliRunner
from git_repositories import GitRepository

from tabtools.cache.results import Keeping
from tabtools.checks import ALL_CHECKS, BY_NAME
from tabtools.cli import main
from tabtools.files import Unread, read_all
from tabtools.hand import DEFAULT_PROFILE
from tabtools.linting import lint_sources
from tabtools.problem import Severity
from tabtools.website.links import Links
from tabtools.website.page_build import Material, PageSetting, prepare_all

QUERIES = (
    ("--intervals", "2 2 -4"),
    ("--intervals", "0"),
    ("--degrees", "b3 5"),
    ("--degrees", "1>2"),
    ("--rhythm", "1 1"),
    ("--rhythm", "quarter"),
    ("--technique", "bend"),
    ("--device", "arpeggio"),
    ("--chord", "m7"),
    ("--chord", "NC"),
    ("--shared",),
    ("--shared", "--same-rhythm"),
    ("--chord", "7", "--technique", "pull-off", "--all"),
)


class Answer(NamedTuple):
    """What a command did: its exit status, standard output and standard error."""

    status: int
    out: str
    err: str


class Asked(NamedTuple):
    """A command, the statuses it may end with on a solo without errors, and on any other.

    `look` raises `AssertionError` for an answer that is no good.
    """

    arguments: tuple[str, ...]
    sound: frozenset[int]
    faulty: frozenset[int]
    look: Callable[[Answer], object] = lambda answer: None

    @property
    def name(self) -> str:
        return " ".join(one for one in self.arguments if "/" not in one and not one.endswith((".solo", ".html")))


def asked(solo: str, other: str, dice: Random) -> Iterator[Asked]:
    """All commands for a solo, some of their options thrown; `other` is another version of it."""
    ran, run = frozenset((0,)), frozenset((0, 2))
    found, changed = frozenset((0, 1)), frozenset((0, 1, 3))
    yield Asked(("lint", solo), ran, frozenset((1,)), errors_have_places)
    yield Asked(("lint", solo, "--strict"), found, frozenset((1,)))
    yield Asked(("lint", solo, "--format", "json"), ran, frozenset((1,)), problems_have_places)
    yield Asked(("format", solo, "--check"), found, frozenset((0, 1, 2)))
    yield Asked(("format", solo, "--diff"), found, frozenset((0, 1, 2)))
    yield Asked(("todo", solo), ran, found)
    yield Asked(("todo", solo, "--format", "json"), ran, found, open_things_have_places)
    yield Asked(("show", solo), ran, run)
    yield Asked(("annotate", solo), ran, run)
    yield Asked(("annotate", solo, "--style", "extended"), ran, run)
    yield Asked(("annotate", solo, "--hands"), ran, run)
    yield Asked(("annotate", solo, "--phrases"), ran, run)
    yield Asked(("annotate", solo, "--format", "json"), ran, run, read_strictly)
    yield Asked(("annotate", solo, "--lesson"), ran, run)
    yield Asked(("annotate", solo, "--bars", f"1-{dice.randint(1, 4)}"), run, run)
    yield Asked(("place", solo), ran, frozenset((0, 1, 2)))
    yield Asked(("place", solo, "1-4", "--position", f"{dice.randint(1, 12)}"), run | found, frozenset((0, 1, 2)))
    yield Asked(("place", solo, "--strings", "1-3", "--format", "json"), found, frozenset((0, 1, 2)), read_strictly)
    bars = (("insert", solo, "--after", "1"), ("remove", solo, "1"), ("move", solo, "2", "--before", "1"))
    for words in (*bars, ("renumber", solo)):
        yield Asked(("bars", *words, "--diff"), found | run, frozenset((0, 1, 2)))
    yield Asked(("conflicts", "show", solo), ran, frozenset((0, 1, 2)))
    yield Asked(("conflicts", "take", "ours", solo, "1"), frozenset((2,)), run)
    yield Asked(("transpose", solo, "--by", f"{dice.randint(-5, 5)}"), found | run, frozenset((0, 1, 2)))
    yield Asked(("transpose", solo, "--strings", "1"), found | run, frozenset((0, 1, 2)))
    to_musicxml = ("--to", "musicxml")
    own = ((), ("--degrees", "extended"), ("--staves", dice.choice(("tab", "standard", "both"))))
    for form in (("--to", "text"), *((*to_musicxml, *more) for more in own)):
        yield Asked(("export", solo, *form), ran, frozenset((1, 2)))
        yield Asked(("export", solo, *form, "--draft"), ran, run)
    midi = f"{Path(solo).with_suffix('.mid')}"
    yield Asked(("export", solo, "--to", "midi", "--output", midi, "--force", "--draft"), ran, run)
    for query in dice.sample(QUERIES, 3):
        yield Asked(("find", *query), found, found)
    yield Asked(
        ("find", "--like", Path(solo).stem, f"{dice.randint(0, 3)}.1"), frozenset((0, 1, 2)), frozenset((0, 1, 2))
    )
    yield Asked(("find", "--chord", "minor", "--format", "json"), found, found, read_strictly)
    for form in ("text", "json", "markdown", "html"):
        look = read_strictly if form == "json" else passes
        yield Asked(("diff", other, solo, "--format", form), changed, changed, look)
    yield Asked(("blame", solo), run, run)
    yield Asked(("explain", dice.choice(sorted(BY_NAME))), ran, ran)
    yield Asked(("checks",), ran, ran)


def ask(one: Asked, is_sound: bool) -> Answer:
    """Run a command and look at its answer. A traceback is an error of the test."""
    result = CliRunner().invoke(main, one.arguments, catch_exceptions=False)
    answer = Answer(result.exit_code, result.stdout, result.stderr)
    assert answer.status in (one.sound if is_sound else one.faulty), (one.arguments, is_sound, answer)
    if answer.status == 2:
        assert answer.err.strip(), one.arguments
    assert "Traceback" not in answer.out + answer.err
    one.look(answer)
    return answer


def has_errors(solo: Path) -> bool:
    """Whether a lint finds errors in a solo or the lesson beside it."""
    found = lint_sources(list(read_all([solo])), ALL_CHECKS, DEFAULT_PROFILE)
    return any(problem.severity is Severity.ERROR for problem in found.problems)


# ---- what answers hold


def passes(answer: Answer) -> None:
    """Nothing more is asked."""


def errors_have_places(answer: Answer) -> None:
    """Every finding begins with file, line and column."""
    for line in answer.out.splitlines():
        if not line.startswith(" ") and re.search(r" (error|warning|note): .*\[[a-z-]+\]$", line):
            assert re.match(r".+:[1-9]\d*:[1-9]\d*: (error|warning|note): ", line), line


def problems_have_places(answer: Answer) -> None:
    """Every record has file, line, column and words."""
    for problem in read_strictly(answer):
        assert problem["path"], problem
        assert problem["line"] >= 1, problem
        assert problem["column"] >= 1, problem
        assert (problem["end_line"], problem["end_column"]) >= (problem["line"], problem["column"]), problem
        assert problem["message"], problem


def open_things_have_places(answer: Answer) -> None:
    """What is open has a place and words; no more bars are heard than there are, nor placed than heard."""
    for solo in read_strictly(answer):
        assert solo["bars"] >= solo["heard"] >= max(solo["placed"], solo["certain"]), solo
        assert solo["bars"] >= solo["explained"], solo
        assert (solo["next"] is None) == (not solo["open"]), solo
        for thing in solo["open"]:
            assert re.fullmatch(r"[0-9]+(\.[0-9]+){0,2}", thing["address"]), thing
            assert thing["line"] >= 1 and thing["column"] >= 1 and thing["message"], thing


def read_strictly(answer: Answer) -> Any:
    """JSON as the standard has it: no NaN and no Infinity."""
    if not answer.out:
        return []
    return json.loads(answer.out, parse_constant=_refused)


def _refused(name: str) -> None:
    raise AssertionError(f"{name} is no JSON")


# ---- the page


def page_of(solo: Path, lesson: Path | None = None) -> str:
    """The page of a solo as the site makes it, drafts included; its drawings can be read."""
    (source,) = read_all([solo])
    if isinstance(source, Unread):
        return ""
    beside = next(read_all([lesson])) if lesson is not None and lesson.is_file() else None
    if isinstance(beside, Unread):
        beside = None
    problems = lint_sources([source], ALL_CHECKS, DEFAULT_PROFILE).problems
    setting = PageSetting("plain", DEFAULT_PROFILE, Links(directory_urls=True, solos=frozenset((solo.stem,))))
    (prepared,) = prepare_all([Material(solo.stem, source, beside, tuple(problems))], setting, Keeping(None))
    if prepared.fault:
        assert beside is not None, prepared.fault
        return ""
    sheet = prepared.open()
    page = sheet.page.body + sheet.page.controls + sheet.page.tab + sheet.page.study.html()
    assert "NaN" not in page, page
    assert not re.search(r'="[^"]*\b(nan|inf)\b', page), page
    for drawing in re.findall(r'<svg class="tt-(?:staff|chords)".*?</svg>(?=</div>|<svg class|\s*<)', sheet.page.tab):
        if drawing.count("<svg") == drawing.count("</svg>"):
            ElementTree.fromstring(drawing)
    return page


def drive(solo: Path, other: Path, dice: Random, most: int | None = None) -> None:
    """Ask so many commands, or all of them, about a solo, and make its page."""
    is_sound = not has_errors(solo)
    commands = list(asked(str(solo), str(other), dice))
    for one in dice.sample(commands, most or len(commands)):
        ask(one, is_sound)
    page_of(solo)


def review(repository: GitRepository, solo: Path, other: Path) -> None:
    """Review a commit that makes one solo out of another."""
    text = solo.read_bytes()
    for version in (other.read_bytes(), text):
        solo.write_bytes(version)
        repository.git("add", "-A")
        repository.git("commit", "-qm", "another version", "--allow-empty")
    for form in ("markdown", "html"):
        ask(Asked(("review", "HEAD~1..HEAD", "--format", form), frozenset((0,)), frozenset((0,))), is_sound=True)
