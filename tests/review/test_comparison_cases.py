"""What a comparison says, case by case: two versions and the very words of the report."""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import pytest
from made_solos import version

from tabtools.reports.comparison import FileChange, as_text
from tabtools.review.apply_changes import apply
from tabtools.review.compare import compare

CASES_FILE = Path(__file__).parent / "cases" / "comparison.txt"
HEADER = "title: Ferry at Dusk\nmeter: 4/4\n"


class Case(NamedTuple):
    name: str
    before: str
    after: str
    report: list[str]


def _cases() -> list[Case]:
    cases = []
    for chunk in re.split(r"^== ", CASES_FILE.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
        name, _, rest = chunk.partition("\n")
        report = [line.removeprefix("--").removeprefix(" ") for line in rest.split("\n") if line.startswith("--")]
        text = "\n".join(line for line in rest.split("\n") if not line.startswith("--")).rstrip("\n")
        cases.append(Case(name, *(_whole(side) for side in text.split("\n>>>\n")), report))
    return cases


def _whole(text: str) -> str:
    return f"{HEADER}{text}\n" if re.match(r"[\w-]+:", text) else f"{HEADER}\n{text}\n"


CASES = _cases()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case(case: Case) -> None:
    before, after = version(case.before), version(case.after)
    comparison = compare(before, after)
    text = as_text([FileChange("dusk.solo", "dusk.solo", comparison=comparison)], lambda text, _: text)
    assert text.split("\n")[1:] == case.report
    assert apply(comparison.changes, before.solo) == after.solo
