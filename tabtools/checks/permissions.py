"""Permissions: `# allow CHECK: reason` silences one check on a line, a bar or a file."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from types import ModuleType

from tabtools.checks import BY_NAME, permission, unused_permission
from tabtools.checks.subject import Subject
from tabtools.model.solo import Bar, Comment
from tabtools.problem import Problem
from tabtools.source import Span

_ALLOW = re.compile(r"#\s*allow\b\s*([\w-]*)\s*(:?)\s*(.*)")

_NEAR = 0.75

Permissions = dict[str, dict[Span, list[Comment]]]
"""Check → stretch of the text within which it is permitted → the comments that say so."""


@dataclass(frozen=True)
class Granted:
    """The permissions of one solo.

    `faults` are the unfinished ones; `unreadable` are problems that nobody can permit: what the reader itself
    reported says nothing that could be meant.
    """

    path: str
    permissions: Permissions
    faults: tuple[Problem, ...]
    unreadable: frozenset[Problem]

    def apply(self, problems: Sequence[Problem], checks: Collection[str]) -> list[Problem]:
        """Leave out what is permitted; add unfinished permissions and those that permit nothing of `checks`."""
        if not self.permissions:
            return [*problems, *self.faults]
        faults = list(self.faults)
        silenced: set[Problem] = set()
        for check, by_stretch in self.permissions.items():
            silenceable = [one for one in problems if one.check == check and one not in self.unreadable]
            permitted, used = _matched(silenceable, by_stretch)
            silenced |= permitted
            if check in checks:
                unused = (comment for within in by_stretch.keys() - used for comment in by_stretch[within])
                faults.extend(_unused(self.path, check, comment) for comment in unused)
        return [problem for problem in problems if problem not in silenced] + faults


def granted_by(subject: Subject) -> Granted:
    """The permissions written in a solo."""
    permissions, faults = _permissions(subject)
    return Granted(subject.source.path, permissions, tuple(faults), frozenset(subject.reading.problems))


def _matched(problems: Iterable[Problem], stretches: Iterable[Span]) -> tuple[set[Problem], set[Span]]:
    """The problems that lie within a stretch, and the stretches that hold one; one walk along the text."""
    upcoming = sorted(stretches, reverse=True)
    open_now: list[Span] = []
    permitted: set[Problem] = set()
    used: set[Span] = set()
    for problem in sorted(problems, key=lambda problem: problem.span):
        place = problem.span
        while upcoming and upcoming[-1].start <= place.start:
            open_now.append(upcoming.pop())
        open_now = [within for within in open_now if place.start < within.end or within == place]
        if open_now:
            permitted.add(problem)
            used.update(open_now)
    return permitted, used


def _permissions(subject: Subject) -> tuple[Permissions, list[Problem]]:
    granted: Permissions = {}
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
            faults.append(_fault(permission, subject.source.path, comment, message, f"write # allow {name}: and why"))
        else:
            granted.setdefault(name, {}).setdefault(within, []).append(comment)
    return granted, faults


def _unused(path: str, check: str, comment: Comment) -> Problem:
    message = f"this permission silences nothing: {check} finds nothing here"
    return _fault(unused_permission, path, comment, message, "delete it, or put it where it belongs")


def _unknown(subject: Subject, comment: Comment, name: str) -> Problem:
    if name in BY_NAME:
        return _fault(permission, subject.source.path, comment, f"{name} cannot be silenced", "mend what it reports")
    near = _near(name)
    advice = f"did you mean {near}?" if near else "tabtools checks lists them"
    message = f"there is no check “{name}”" if name else "the permission names no check"
    return _fault(permission, subject.source.path, comment, message, advice)


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


def _fault(check: ModuleType, path: str, comment: Comment, message: str, advice: str) -> Problem:
    return Problem(check.NAME, check.SEVERITY, path, comment.span, message, advice)
