"""Run the checks over solos, and honour the permissions written in them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from types import ModuleType
from typing import Any

from tabtools.checks import ALL_CHECKS
from tabtools.checks.permissions import Granted, granted_by
from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Problem
from tabtools.source import SourceText


def check_solo(subject: Subject, checks: Sequence[ModuleType] = ALL_CHECKS) -> list[Problem]:
    """The problems of one solo, in the order of the text, permissions not yet applied."""
    return [
        _problem(check, finding, subject.source.path)
        for check in checks
        if hasattr(check, "check")
        for finding in check.check(subject)
    ]


def check_lesson(lesson: SourceText, subject: Subject, checks: Sequence[ModuleType] = ALL_CHECKS) -> list[Problem]:
    """What the lesson beside a solo says that the solo does not bear out."""
    return [
        _problem(check, finding, lesson.path)
        for check in checks
        if hasattr(check, "check_lesson")
        for finding in check.check_lesson(lesson, subject)
    ]


@dataclass(frozen=True)
class Examined:
    """What is left of a solo once it has been checked by itself: small, and fit to be sent between processes.

    `problems` are before permissions, `lesson_problems` those of the lesson beside it; `facts` are what the
    checks across solos want to know, by the name of the check.
    """

    path: str
    problems: tuple[Problem, ...]
    lesson_problems: tuple[Problem, ...]
    granted: Granted
    facts: dict[str, Any]
    draft: bool


def examine(subject: Subject, lesson: SourceText | None, checks: Sequence[ModuleType] = ALL_CHECKS) -> Examined:
    """Check one solo, and the lesson beside it, by themselves."""
    across = [check for check in checks if hasattr(check, "check_collection")]
    facts = {check.NAME: check.fact(subject) for check in across}
    return Examined(
        subject.source.path,
        tuple(check_solo(subject, checks)),
        tuple(check_lesson(lesson, subject, checks)) if lesson else (),
        granted_by(subject),
        {name: fact for name, fact in facts.items() if fact is not None},
        subject.solo.header.draft,
    )


def conclude(solos: Sequence[Examined], checks: Sequence[ModuleType] = ALL_CHECKS) -> list[Problem]:
    """All problems of these solos: each solo's in the order of its text, its lesson's behind them, what only shows
    across solos among them, what is permitted left out.
    """
    across: dict[str, list[Problem]] = {}
    for check in checks:
        if hasattr(check, "check_collection"):
            facts = [(one.path, one.facts[check.NAME]) for one in solos if check.NAME in one.facts]
            for path, finding in check.check_collection(facts):
                across.setdefault(path, []).append(_problem(check, finding, path))
    names = {check.NAME for check in checks}
    problems: list[Problem] = []
    for one in solos:
        found = one.granted.apply([*one.problems, *across.get(one.path, [])], names)
        problems.extend(sorted(found, key=lambda problem: problem.span))
        problems.extend(one.lesson_problems)
    return problems


def lint(subjects: Iterable[Subject], checks: Sequence[ModuleType] = ALL_CHECKS) -> list[Problem]:
    """All problems of these solos, their lessons aside."""
    return conclude([examine(subject, None, checks) for subject in subjects], checks)


def _problem(check: ModuleType, finding: Finding, path: str) -> Problem:
    return Problem(
        check.NAME,
        finding.severity or check.SEVERITY,
        path,
        finding.span,
        finding.message,
        finding.advice,
        str(finding.address),
    )
