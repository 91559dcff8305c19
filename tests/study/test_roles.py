"""Roles of notes, against phrases decided by hand from common practice (cases/roles)."""

from __future__ import annotations

import pytest
from study_cases import Case, agreement, cases_in

from tabtools.study.music import music_of
from tabtools.study.open_parts import open_parts
from tabtools.study.resolutions import with_suspensions
from tabtools.study.role import Role
from tabtools.study.roles import roles_of

CASES = cases_in("roles", ",")
SENTENCES = cases_in("sentences", "|")


def roles(case: Case) -> tuple[Role, ...]:
    """Its roles as the rules decide them, before any device has its say."""
    music = music_of(case.timeline)
    return with_suspensions(roles_of(case.timeline, music, open_parts(case.timeline)), music)


def answer(case: Case) -> tuple[str, ...]:
    return tuple(role.kind + "?" * role.uncertain for role in roles(case))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case(case: Case) -> None:
    assert answer(case) == (case.differs or case.expected)


@pytest.mark.parametrize("case", SENTENCES, ids=lambda case: case.name)
def test_what_is_said(case: Case) -> None:
    assert sentences(case) == case.expected


def sentences(case: Case) -> tuple[str, ...]:
    """What is said of the notes that are no chord tones: `2 RULE: SENTENCE → 3`."""
    return tuple(
        f"{number} {role.rule}: {role.sentence}" + (f" → {role.target + 1}" if role.target is not None else "")
        for number, role in enumerate(roles(case), 1)
        if role.kind != "chord tone"
    )


def test_every_difference_has_a_reason() -> None:
    print(agreement("roles", CASES))
    for case in CASES:
        assert case.differs is None or (case.reason and case.differs != case.expected), case.name
