"""Lint a set of files: what cannot be taken as text, what each solo and its lesson show, what shows across solos."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

from tabtools.checks import BY_NAME
from tabtools.checks.run import check_lesson, lint
from tabtools.checks.subject import Subject, subject_of
from tabtools.files import LESSON_SUFFIX, SUFFIX, Unread, read_all
from tabtools.problem import Problem, Severity
from tabtools.source import SourceText, Span


@dataclass(frozen=True)
class Linted:
    """Problems in the order of the files; `sources` are the texts they point into."""

    problems: tuple[Problem, ...]
    sources: tuple[SourceText, ...]
    subjects: tuple[Subject, ...]

    def unfit(self) -> list[Problem]:
        """The errors that keep solos from being published: all but those of drafts."""
        drafts = {subject.source.path for subject in self.subjects if subject.solo.header.draft}
        return [
            problem for problem in self.problems if problem.severity is Severity.ERROR and problem.path not in drafts
        ]


def lint_sources(found: Iterable[SourceText | Unread], checks: Sequence[ModuleType]) -> Linted:
    """All problems of these files. One file that cannot be read hides nothing of the others."""
    sources: list[SourceText] = []
    subjects: list[Subject] = []
    problems: list[Problem] = []
    order: dict[str, int] = {}
    with _no_search_for_cycles():
        for one in found:
            order.setdefault(one.path, len(order))
            if isinstance(one, Unread):
                problems.append(_unreadable(one))
                if one.error.source is not None:
                    sources.append(one.error.source)
            else:
                sources.append(one)
                subjects.append(subject_of(one))
        problems.extend(lint(subjects, checks))
        for subject in subjects:
            lesson = lesson_beside(subject.source.path)
            if isinstance(lesson, Unread):
                problems.append(_unreadable(lesson))
            elif lesson is not None:
                sources.append(lesson)
                problems.extend(check_lesson(lesson, subject, checks))
            order[_lesson_path(subject.source.path)] = order[subject.source.path]
        problems.sort(key=lambda problem: order.get(problem.path, len(order)))
    return Linted(tuple(problems), tuple(sources), tuple(subjects))


def lesson_beside(solo_path: str) -> SourceText | Unread | None:
    """The lesson of a solo: the Markdown file of the same name beside it, None where there is none."""
    path = Path(_lesson_path(solo_path))
    if not solo_path.endswith(SUFFIX) or not path.is_file():
        return None
    return next(read_all([path], [path.parent]))


def _lesson_path(solo_path: str) -> str:
    return solo_path.removesuffix(SUFFIX) + LESSON_SUFFIX


@contextmanager
def _no_search_for_cycles() -> Iterator[None]:
    """Records of a lint hold no cycles; looking for some, again and again, costs a third of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _unreadable(one: Unread) -> Problem:
    check = BY_NAME["unreadable-file"]
    span = Span(one.error.offset, one.error.offset + 1)
    return Problem(check.NAME, check.SEVERITY, one.path, span, one.error.message, one.error.advice)
