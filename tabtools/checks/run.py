"""Run the checks over solos, and honour the permissions written in them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from types import ModuleType

from tabtools.checks import ALL_CHECKS
from tabtools.checks.permissions import apply_permissions
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


def check_collection(subjects: Sequence[Subject], checks: Sequence[ModuleType] = ALL_CHECKS) -> list[Problem]:
    """What is only seen across solos."""
    return [
        _problem(check, finding, subject.source.path)
        for check in checks
        if hasattr(check, "check_collection")
        for subject, finding in check.check_collection(subjects)
    ]


def check_lesson(lesson: SourceText, subject: Subject, checks: Sequence[ModuleType] = ALL_CHECKS) -> list[Problem]:
    """What the lesson beside a solo says that the solo does not bear out."""
    return [
        _problem(check, finding, lesson.path)
        for check in checks
        if hasattr(check, "check_lesson")
        for finding in check.check_lesson(lesson, subject)
    ]


def lint(subjects: Iterable[Subject], checks: Sequence[ModuleType] = ALL_CHECKS) -> list[Problem]:
    """All problems of these solos, each solo's in the order of its text, what is permitted left out."""
    kept = list(subjects)
    across: dict[str, list[Problem]] = {}
    for problem in check_collection(kept, checks):
        across.setdefault(problem.path, []).append(problem)
    problems: list[Problem] = []
    for subject in kept:
        found = check_solo(subject, checks) + across.get(subject.source.path, [])
        problems.extend(sorted(apply_permissions(subject, found, checks), key=lambda problem: problem.span))
    return problems


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
