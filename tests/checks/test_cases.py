"""Every check's case file: what passes, what fails, and the very words of the report."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest
from case_files import Case, cases_in
from linted import find

from tabtools.checks import ALL_CHECKS, BY_NAME

FOLDER = Path(__file__).parent / "cases"
FEWEST_CASES = 4
NOT_CHECKS = {"__init__", "permissions", "playing", "run", "subject", "wording"}


CASES = cases_in(FOLDER, "--")


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case(case: Case) -> None:
    assert [str(one) for one in find(case.text) if one.problem.check == case.file] == case.said["--"]


@pytest.mark.parametrize("name", BY_NAME)
def test_every_check_has_cases_that_pass_and_cases_that_fail(name: str) -> None:
    cases = [case for case in CASES if case.file == name]
    assert len(cases) >= FEWEST_CASES
    assert any(case.said["--"] for case in cases), "no failing case"
    assert any(not case.said["--"] for case in cases), "no passing case"


def test_every_case_file_names_a_check() -> None:
    assert {case.file for case in CASES} <= set(BY_NAME)


def test_every_module_with_a_name_is_in_the_tuple() -> None:
    folder = Path(__file__).parents[2] / "tabtools" / "checks"
    modules = [import_module(f"tabtools.checks.{path.stem}") for path in folder.glob("[!_]*.py")]
    assert {module.NAME for module in modules if hasattr(module, "NAME")} == {check.NAME for check in ALL_CHECKS}
