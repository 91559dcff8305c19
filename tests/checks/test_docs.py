"""The manual page of every check: its parts, and examples that behave as they say."""

from __future__ import annotations

import re
import textwrap
from types import ModuleType

import pytest
from linted import find

from tabtools.checks import ALL_CHECKS
from tabtools.problem import Severity

PAGE = re.compile(
    r"(?P<summary>[^\n]+\.)\n\n(?P<why>.+?)\n\nPasses.*?:\n\n(?P<passes>.+?)\n\nFails.*?:\n\n(?P<fails>.+)", re.S
)
SUMMARY_WIDTH = 110


def page(check: ModuleType) -> dict[str, str]:
    match = PAGE.fullmatch(check.__doc__.strip())
    assert match is not None, "the docstring is not a summary, a why, Passes: and Fails:"
    return match.groupdict()


def example(check: ModuleType, part: str) -> str:
    text = page(check)[part]
    assert all(not line or line.startswith("    ") for line in text.split("\n"))
    return textwrap.dedent(text) + "\n"


@pytest.mark.parametrize("check", ALL_CHECKS, ids=lambda check: check.NAME)
def test_summary_is_one_short_line(check: ModuleType) -> None:
    assert len(page(check)["summary"]) <= SUMMARY_WIDTH


@pytest.mark.parametrize("check", ALL_CHECKS, ids=lambda check: check.NAME)
def test_what_passes_gives_nothing_to_mend(check: ModuleType) -> None:
    """Nothing of the check itself, and of the others at most notes."""
    found = find(example(check, "passes"))
    assert [str(one) for one in found if one.problem.check == check.NAME or one.problem.severity != Severity.NOTE] == []


@pytest.mark.parametrize("check", ALL_CHECKS, ids=lambda check: check.NAME)
def test_what_fails_is_found_by_this_check_alone(check: ModuleType) -> None:
    assert {one.problem.check for one in find(example(check, "fails"))} == {check.NAME}


@pytest.mark.parametrize("check", ALL_CHECKS, ids=lambda check: check.NAME)
def test_every_check_has_a_name_and_a_severity(check: ModuleType) -> None:
    assert check.__name__.rpartition(".")[2].replace("_", "-") == check.NAME
    assert isinstance(check.SEVERITY, Severity)


def test_every_check_looks_for_something_unless_reading_and_permitting_find_it() -> None:
    looking = ("check", "check_collection", "check_lesson")
    others = {check.NAME for check in ALL_CHECKS if not any(hasattr(check, name) for name in looking)}
    assert others == {"unreadable-file", "permission", "unused-permission"}
