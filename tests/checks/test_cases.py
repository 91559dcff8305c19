"""Every check's case file: what passes, what fails, and the very words of the report."""

from __future__ import annotations

import re
from importlib import import_module
from pathlib import Path
from typing import NamedTuple

import pytest
from linted import find

from tabtools.checks import ALL_CHECKS, BY_NAME

FOLDER = Path(__file__).parent / "cases"
FEWEST_CASES = 4
NOT_CHECKS = {"__init__", "permissions", "playing", "run", "subject", "wording"}


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


CASES = _cases()


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.check}: {case.name}")
def test_case(case: Case) -> None:
    assert [str(one) for one in find(case.text) if one.problem.check == case.check] == case.expected


@pytest.mark.parametrize("name", BY_NAME)
def test_every_check_has_cases_that_pass_and_cases_that_fail(name: str) -> None:
    cases = [case for case in CASES if case.check == name]
    assert len(cases) >= FEWEST_CASES
    assert any(case.expected for case in cases), "no failing case"
    assert any(not case.expected for case in cases), "no passing case"


def test_every_case_file_names_a_check() -> None:
    assert {case.check for case in CASES} <= set(BY_NAME)


def test_no_case_stands_twice() -> None:
    names = [(case.check, case.name) for case in CASES]
    assert len(names) == len(set(names))


def test_every_module_with_a_name_is_in_the_tuple() -> None:
    folder = Path(__file__).parents[2] / "tabtools" / "checks"
    modules = [import_module(f"tabtools.checks.{path.stem}") for path in folder.glob("[!_]*.py")]
    assert {module.NAME for module in modules if hasattr(module, "NAME")} == {check.NAME for check in ALL_CHECKS}
