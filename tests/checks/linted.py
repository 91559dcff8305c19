"""Linting texts in tests: short texts get a header, one text may hold several files, escapes stand for what hides.

`# name.solo` on a line of its own starts another file; `\\uXXXX` stands for a character nobody would see.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from tabtools.checks import BY_NAME
from tabtools.checks.run import lint
from tabtools.checks.subject import Subject, subject_of
from tabtools.problem import Problem
from tabtools.source import SourceError, SourceText, Span, from_text

HEADER = "title: A\nplayer: B\nrecording: C\nrights: CC0-1.0\nmeter: 4/4\n\n"

_FILE = re.compile(r"^# (\S+\.solo)\n", re.MULTILINE)
_HAS_HEADER = re.compile(r"\s*(?:#[^\n]*\n\s*)*\ufeff?[A-Za-z][\w-]*[ \t]*:")


class Found(NamedTuple):
    """A problem where a person finds it.

    `line` is counted in the text as it was given, without the added header; `file` is empty where there is only one.
    """

    problem: Problem
    file: str
    line: int
    column: int

    def __str__(self) -> str:
        problem = self.problem
        words = [self.file, f"{self.line}:{self.column}", problem.address, problem.severity, problem.message]
        return " ".join(filter(None, words)) + (f" | {problem.advice}" if problem.advice else "")


def find(text: str) -> list[Found]:
    """Every problem of a text, or of the files in it, in the order of the report."""
    text = re.sub(r"\\u([0-9a-f]{4})", lambda match: chr(int(match[1], 16)), text)
    name, *rest = _FILE.split(text) if _FILE.match(text) else ["", "case.solo", text]
    assert not name
    shifts: dict[str, int] = {}
    sources: dict[str, SourceText] = {}
    subjects: list[Subject] = []
    problems: list[Problem] = []
    for path, body in zip(rest[::2], rest[1::2], strict=True):
        shifts[path] = 0 if _HAS_HEADER.match(body) else HEADER.count("\n")
        try:
            sources[path] = from_text(HEADER + body if shifts[path] else body, path)
            subjects.append(subject_of(sources[path]))
        except SourceError as error:
            sources[path] = error.source
            problems.append(_refused(path, error))
    found = []
    for problem in problems + lint(subjects):
        line, column = sources[problem.path].locate(problem.span.start)
        file = problem.path if len(sources) > 1 else ""
        found.append(Found(problem, file, line - shifts[problem.path], column))
    return found


def _refused(path: str, error: SourceError) -> Problem:
    check = BY_NAME["unreadable-file"]
    span = Span(error.offset, error.offset + 1)
    return Problem(check.NAME, check.SEVERITY, path, span, error.message, error.advice)
