"""Linting texts in tests: short texts get a header, one text may hold several files, escapes stand for what hides.

`# name.solo` on a line of its own starts another file; `lesson: …` is a line of the lesson beside it; `\\uXXXX`
stands for a character nobody would see.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import NamedTuple

from tabtools.checks import ALL_CHECKS, BY_NAME
from tabtools.checks.run import check_lesson, lint
from tabtools.checks.subject import Subject, subject_of
from tabtools.problem import Problem
from tabtools.source import SourceError, SourceText, Span, from_text

HEADER = "title: A\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\n\n"

_FILE = re.compile(r"^# (\S+\.solo)\n", re.MULTILINE)
_LESSON = re.compile(r"^lesson: (.*)\n", re.MULTILINE)
_HAS_HEADER = re.compile(r"\s*(?:#[^\n]*\n\s*)*\ufeff?[A-Za-z][\w-]*[ \t]*:")


class Found(NamedTuple):
    """A problem where a person finds it.

    `line` is counted in the text as it was given; what lies in the added header is on line 0. `file` is empty where
    there is only one.
    """

    problem: Problem
    file: str
    line: int
    column: int

    def __str__(self) -> str:
        problem = self.problem
        words = [self.file, f"{self.line}:{self.column}", problem.address, problem.severity, problem.message]
        return " ".join(filter(None, words)) + (f" | {problem.advice}" if problem.advice else "")


def find(text: str, names: Collection[str] = frozenset(BY_NAME)) -> list[Found]:
    """The problems of a text, or of the files in it, that the checks of these names find, in the report's order."""
    checks = [check for check in ALL_CHECKS if check.NAME in names]
    files = list(_files(text))
    shifts: dict[str, int] = {}
    sources: dict[str, SourceText] = {}
    problems: list[Problem] = []
    subjects: list[tuple[Subject, SourceText]] = []
    for path, solo, lesson in files:
        shifts[path] = 0 if _HAS_HEADER.match(solo) else HEADER.count("\n")
        try:
            sources[path] = from_text(HEADER + solo if shifts[path] else solo, path)
            subjects.append((subject_of(sources[path]), from_text(lesson, f"{path} lesson")))
        except SourceError as error:
            sources[path] = error.source
            problems.append(_refused(path, error))
    problems += lint([subject for subject, _ in subjects], checks)
    for subject, lesson in subjects:
        sources[lesson.path] = lesson
        problems += check_lesson(lesson, subject, checks)
    found = []
    for problem in problems:
        line, column = sources[problem.path].locate(problem.span.start)
        file = problem.path if len(files) > 1 else ""
        found.append(Found(problem, file, max(0, line - shifts.get(problem.path, 0)), column))
    return found


def _files(text: str) -> Iterator[tuple[str, str, str]]:
    """(path, solo, lesson) of each file."""
    text = re.sub(r"\\u([0-9a-f]{4})", lambda match: chr(int(match[1], 16)), text)
    _, *parts = _FILE.split(text) if _FILE.match(text) else ["", "case.solo", text]
    for path, body in zip(parts[::2], parts[1::2], strict=True):
        yield path, _LESSON.sub("", body), "\n".join(_LESSON.findall(body))


def _refused(path: str, error: SourceError) -> Problem:
    check = BY_NAME["unreadable-file"]
    span = Span(error.offset, error.offset + 1)
    return Problem(check.NAME, check.SEVERITY, path, span, error.message, error.advice)
