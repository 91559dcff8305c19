"""A whole solo as it is written: pitches first, then places, gaps, rhythms and chords, commit by commit."""

from __future__ import annotations

import re
from collections import Counter
from itertools import takewhile
from pathlib import Path

import pytest
from case_files import Case, cases_in
from git_repositories import ENVIRONMENT, SOLO, GitRepository, new_repository, tabtools
from made_solos import version
from rebuilt import apply

from tabtools.checks.run import lint
from tabtools.checks.subject import subject_of
from tabtools.notation.write import canonical
from tabtools.reports.comparison import FileChange, as_text
from tabtools.reports.history import collection_history_of
from tabtools.reports.todo import Todo, summary
from tabtools.review.compare import compare
from tabtools.review.merging.text import merge_texts
from tabtools.review.repository_log import repository_log_of
from tabtools.source import from_text
from tabtools.study.unfinished import unfinished

FOLDER = Path(__file__).parent / "rope_locker"
FIRST, *STEPS = cases_in(FOLDER / "history.txt", "--", "..", "::")
LATER_BAR = re.compile(r"^(bar )(\d+)", re.MULTILINE)


def after(text: str, step: Case) -> str:
    """The solo with the bars of a step: in the place of those of their numbers, or new ones before them."""
    for block in step.text.strip().split("\n\n"):
        bar = block.removeprefix("new ")
        number = re.match(r"bar \d+", bar)[0]
        start = text.index(f"\n{number}\n" if f"\n{number}\n" in text else f"\n{number} ") + 1
        end = text.find("\n\n", start)
        if bar != block:
            later = LATER_BAR.sub(lambda found: f"{found[1]}{int(found[2]) + 1}", text[start:])
            text = f"{text[:start]}{bar}\n\n{later}"
        else:
            text = f"{text[:start]}{bar}\n" + (text[end + 1 :] if end >= 0 else "")
    return text


def texts() -> list[str]:
    """The solo at each commit."""
    found = [(FOLDER / "first.solo").read_text(encoding="utf-8")]
    for step in STEPS:
        found.append(after(found[-1], step))
    return found


def told(before: str, now: str) -> list[str]:
    comparison = compare(version(before), version(now))
    assert apply(comparison.changes, version(before).solo) == version(now).solo
    return as_text([FileChange("dusk.solo", "dusk.solo", comparison=comparison)], lambda text, _: text).split("\n")[1:]


def state(text: str) -> list[str]:
    """What the linter finds, counted, and what is still to be done."""
    subject = subject_of(from_text(text, "dusk.solo"))
    counted: dict[str, Counter[str]] = {}
    for problem in lint([subject]):
        counted.setdefault(f"{problem.severity}s", Counter())[problem.check] += 1
    rows = [f"{kind}: {', '.join(f'{one} {found[one]}' for one in sorted(found))}" for kind, found in counted.items()]
    return [*rows, summary([Todo(subject.source, unfinished(subject.source))])]


@pytest.mark.parametrize("number", range(len(STEPS)), ids=[step.name for step in STEPS])
def test_each_commit_is_told_in_the_words_of_a_teacher(number: int) -> None:
    before, now = texts()[number : number + 2]
    assert canonical(version(now).solo) == now
    assert told(before, now) == STEPS[number].said["--"]
    assert state(now) == STEPS[number].said[".."]


def test_the_first_commit_is_full_of_open_things() -> None:
    first = texts()[0]
    assert len(version(first).solo.bars) == 24
    assert state(first) == FIRST.said[".."]


def test_git_tells_the_same_story(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM"):
        monkeypatch.setenv(name, ENVIRONMENT[name])
    repository = new_repository(tmp_path / "solos")
    for step, text in zip((FIRST, *STEPS), texts(), strict=True):
        repository.commit(text, step.name)
    log = repository_log_of(repository.folder / "transcriptions")
    entries = collection_history_of(log, {SOLO: repository.read}).of_solos[SOLO]
    stories = [(one.commit.subject, one.told.summary if one.told else "") for one in reversed(entries)]
    assert stories == [(FIRST.name, ""), *((step.name, _summary(step)) for step in STEPS)]
    assert _lines(repository, "diff", "HEAD~1", "HEAD")[1:][: len(STEPS[-1].said["--"])] == STEPS[-1].said["--"]
    assert tabtools(repository.folder, "lint").returncode == 0
    rows = (re.match(r"bar (\d+) .*Ida Marlow  (.*)", row) for row in _lines(repository, "blame", SOLO))
    blamed: dict[str, list[int]] = {}
    for row in filter(None, rows):
        blamed.setdefault(row[2], []).append(int(row[1]))
    assert blamed == LAST_WORD


LAST_WORD = {
    "the opening found on the neck": [1, 2],
    "all on the neck": [3, 4, 6, 8, 10, 12, *range(18, 26)],
    "sung again, and heard again": [5, 7, 11],
    "section B on the neck": [9, 13, 14, 15, 16],
    "a bar I had missed": [17],
}
"""Which commit was the last to change which bars."""


def _lines(repository: GitRepository, *arguments: str) -> list[str]:
    return [row.rstrip() for row in tabtools(repository.folder, *arguments).stdout.split("\n")]


def _summary(step: Case) -> str:
    """The summary of a step, which stands on several lines in a report."""
    rows = takewhile(bool, step.said["--"])
    return " ".join(row.strip() for row in rows)


def test_two_people_who_settle_different_things_meanwhile_are_brought_together() -> None:
    before, chords, both = texts()[3:6]
    places = after(before, STEPS[4])
    merged = merge_texts(before.encode(), places.encode(), chords.encode())
    assert (merged.text, merged.conflicts) == (both, 0)
