"""Permissions: `# allow CHECK: reason` silences one check on a line, a bar or a file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from types import ModuleType
from typing import NamedTuple

from tabtools.checks import BY_NAME, permission, unused_permission
from tabtools.checks.subject import Subject
from tabtools.model.solo import Bar, Comment
from tabtools.problem import Problem
from tabtools.source import Span

_ALLOW = re.compile(r"#\s*allow\b\s*([\w-]*)\s*(:?)\s*(.*)")


_NEAR = 0.75


class Permission(NamedTuple):
    """A check permitted within a stretch of the text."""

    check: str
    within: Span
    comment: Comment


def apply_permissions(subject: Subject, problems: Sequence[Problem], checks: Sequence[ModuleType]) -> list[Problem]:
    """Leave out what is permitted; add unfinished permissions and those that permit nothing.

    What the reader could not read stays, whichever check reports it: nobody can permit what says nothing.
    """
    permissions, faults = _permissions(subject)
    if not permissions:
        return [*problems, *faults]
    used: set[Permission] = set()
    unreadable = frozenset(subject.reading.problems)
    kept = []
    for problem in problems:
        granted = []
        if problem not in unreadable:
            granted = [one for one in permissions if one.check == problem.check and _covers(one.within, problem.span)]
        used.update(granted)
        if not granted:
            kept.append(problem)
    run = {check.NAME for check in checks}
    for one in permissions:
        if one not in used and one.check in run:
            message = f"this permission silences nothing: {one.check} finds nothing here"
            kept.append(
                _fault(unused_permission, subject, one.comment, message, "delete it, or put it where it belongs")
            )
    return kept + faults


def _covers(within: Span, span: Span) -> bool:
    return within.start <= span.start < within.end or within == span


def _permissions(subject: Subject) -> tuple[list[Permission], list[Problem]]:
    granted: list[Permission] = []
    faults: list[Problem] = []
    if "allow" not in subject.source.text:
        return granted, faults
    for comment, within in _comments(subject):
        match = _ALLOW.match(comment.text)
        if match is None:
            continue
        name, colon, reason = match.groups()
        if name not in BY_NAME and not colon and not _near(name):
            continue
        if name not in BY_NAME or hasattr(BY_NAME[name], "ALWAYS_ON"):
            faults.append(_unknown(subject, comment, name))
        elif not colon or not reason:
            message = f"the permission for {name} gives no reason"
            faults.append(_fault(permission, subject, comment, message, f"write # allow {name}: and why"))
        else:
            granted.append(Permission(name, within, comment))
    return granted, faults


def _unknown(subject: Subject, comment: Comment, name: str) -> Problem:
    if name in BY_NAME:
        return _fault(permission, subject, comment, f"{name} cannot be silenced", "mend what it reports")
    near = _near(name)
    advice = f"did you mean {near}?" if near else "tabtools checks lists them"
    message = f"there is no check “{name}”" if name else "the permission names no check"
    return _fault(permission, subject, comment, message, advice)


def _near(name: str) -> str:
    return next(iter(get_close_matches(name, BY_NAME, 1, _NEAR)), "")


def _comments(subject: Subject) -> Iterator[tuple[Comment, Span]]:
    """Every comment with the stretch of text it can speak for."""
    whole = Span(0, len(subject.source.text) + 1)
    for field in subject.solo.fields:
        for comment in field.comments.all():
            yield comment, whole
    for item in subject.solo.items:
        extent = item.span
        if isinstance(item, Bar) and item.lines:
            extent = Span(item.span.start, item.lines[-1].span.end)
        for comment in item.comments.all():
            yield comment, extent
        if isinstance(item, Bar):
            for line in item.lines:
                for comment in line.comments.all():
                    yield comment, line.span


def _fault(check: ModuleType, subject: Subject, comment: Comment, message: str, advice: str) -> Problem:
    return Problem(check.NAME, check.SEVERITY, subject.source.path, comment.span, message, advice)
