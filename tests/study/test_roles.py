"""Roles of notes, against phrases decided by hand from common practice (cases/roles)."""

from __future__ import annotations

import pytest
from study_cases import Case, agreement, cases_in

from tabtools.study import roles_of

CASES = cases_in("roles", ",")


def answer(case: Case) -> tuple[str, ...]:
    return tuple(role.kind + "?" * role.uncertain for role in roles_of(case.timeline))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case(case: Case) -> None:
    assert answer(case) == (case.differs or case.expected)


def test_every_difference_has_a_reason() -> None:
    print(agreement("roles", CASES))
    for case in CASES:
        assert case.differs is None or (case.reason and case.differs != case.expected), case.name
