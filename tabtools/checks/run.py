"""Run the checks over solos, and honour the permissions written in them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from types import ModuleType

from tabtools.checks import ALL_CHECKS
from tabtools.checks.permissions import apply_permissions
from tabtools.checks.subject import Finding, Subject
from tabtools.problem import Problem


def check_solo(subject: Subject, checks: Sequence[ModuleType] = ALL_CHECKS) -> list[Problem]:
    """The problems of one solo, in the order of the text, permissions not yet applied."""
    return [
        _problem(check, finding, subject)
        for check in checks
        if hasattr(check, "check")
        for finding in check.check(subject)
    ]


def check_collection(subjects: Sequence[Subject], checks: Sequence[ModuleType] = ALL_CHECKS) -> list[Problem]:
    """What is only seen across solos."""
    return [
        _problem(check, finding, subject)
        for check in checks
        if hasattr(check, "check_collection")
        for subject, finding in check.check_collection(subjects)
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


def _problem(check: ModuleType, finding: Finding, subject: Subject) -> Problem:
    return Problem(
        check.NAME,
        finding.severity or check.SEVERITY,
        subject.source.path,
        finding.span,
        finding.message,
        finding.advice,
        str(finding.address),
    )
