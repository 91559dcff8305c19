"""What a comparison says, case by case: two versions and the very words of the report."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from case_files import Case, cases_in
from made_solos import version
from rebuilt import apply

from tabtools.reports.comparison import FileChange, as_text
from tabtools.review.compare import compare

CASES = Path(__file__).parent / "cases"
HEADER = "title: Ferry at Dusk\nmeter: 4/4\n"


def _whole(text: str) -> str:
    return f"{HEADER}{text}\n" if re.match(r"[\w-]+:", text) else f"{HEADER}\n{text}\n"


@pytest.mark.parametrize(
    "case", [*cases_in(CASES / "comparison.txt", "--"), *cases_in(CASES / "settling.txt", "--")], ids=str
)
def test_case(case: Case) -> None:
    before, after = (version(_whole(side)) for side in case.text.rstrip("\n").split("\n>>>\n"))
    comparison = compare(before, after)
    text = as_text([FileChange("dusk.solo", "dusk.solo", comparison=comparison)], lambda text, _: text)
    assert text.split("\n")[1:] == case.said["--"]
    assert apply(comparison.changes, before.solo) == after.solo
