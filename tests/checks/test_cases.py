"""Every check's case file: what passes, what fails, and the very words of the report."""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import pytest

from tabtools.checks import ALL_CHECKS, BY_NAME
from tabtools.checks.run import lint
from tabtools.checks.subject import subject_of
from tabtools.source import from_text

FOLDER = Path(__file__).parent / "cases"
HEADER = "title: A\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\n\n"


class Case(NamedTuple):
    check: str
    name: str
    text: str
    expected: list[str]


def _cases() -> list[Case]:
    cases = []
    for path in sorted(FOLDER.glob("*.txt")):
        for chunk in re.split(r"^== ", path.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
            name, _, rest = chunk.partition("\n")
            lines = rest.rstrip("\n").split("\n")
            expected = [line[3:] for line in lines if line.startswith("-- ")]
            text = "\n".join(line for line in lines if not line.startswith("-- ")).rstrip("\n") + "\n"
            cases.append(Case(path.stem, name.strip(), text, expected))
    return cases


@pytest.mark.parametrize("case", _cases(), ids=lambda case: f"{case.check}: {case.name}")
def test_case(case: Case) -> None:
    has_header = re.match(r"\s*(#[^\n]*\n\s*)*[a-z-]+:", case.text) is not None
    source = from_text(case.text if has_header else HEADER + case.text, "case.solo")
    shift = 0 if has_header else HEADER.count("\n")
    found = []
    for problem in lint([subject_of(source)], ALL_CHECKS):
        if problem.check == case.check:
            line, column = source.locate(problem.span.start)
            advice = f" | {problem.advice}" if problem.advice else ""
            found.append(f"{line - shift}:{column} {problem.severity} {problem.message}{advice}")
    assert found == case.expected


@pytest.mark.parametrize("name", BY_NAME)
def test_every_check_has_cases_that_pass_and_cases_that_fail(name: str) -> None:
    cases = [case for case in _cases() if case.check == name]
    assert any(case.expected for case in cases), "no failing case"
    assert any(not case.expected for case in cases), "no passing case"


def test_every_module_is_in_the_tuple() -> None:
    folder = Path(__file__).parents[2] / "tabtools" / "checks"
    modules = {path.stem for path in folder.glob("*.py")} - {"__init__", "permissions", "run", "subject"}
    assert modules == {check.__name__.rpartition(".")[2] for check in ALL_CHECKS}
    assert {check.NAME for check in ALL_CHECKS} == {module.replace("_", "-") for module in modules}
