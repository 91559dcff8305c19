"""What a check reports: plain data, one record that feeds every output."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tabtools.source import SourceText, Span


class Severity(StrEnum):
    """How much a finding matters: an error stops publishing, a warning wants a look, a note informs."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def word(self) -> str:
        """As people are told: a note is what is played, and what informs is a remark."""
        return "remark" if self is Severity.NOTE else self.value


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding.

    `check` is the readable name that `tabtools explain` knows; `path` and `span` are the place in the text;
    `address` is the place in the music (`5.2.3`), empty for the header or the file as a whole.
    """

    check: str
    severity: Severity
    path: str
    span: Span
    message: str
    advice: str = ""
    address: str = ""


@dataclass(frozen=True, slots=True)
class PlacedProblem:
    """One finding with its place as people and editors count: lines and columns from 1, columns in characters.

    `end_line` and `end_column` are just behind it; `address` is the place in the music (`5.2.3`), empty for the header
    or the file as a whole.
    """

    path: str
    line: int
    column: int
    end_line: int
    end_column: int
    address: str
    check: str
    severity: Severity
    message: str
    advice: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}:{self.column}: {self.severity}: {self.message} [{self.check}]"


def placed(problem: Problem, source: SourceText | None) -> PlacedProblem:
    """A finding with its place in its text; at the very start where there is none."""
    line, column = source.locate(problem.span.start) if source else (1, 1)
    end_line, end_column = source.locate(max(problem.span)) if source else (1, 1)
    return PlacedProblem(
        problem.path,
        line,
        column,
        end_line,
        end_column,
        problem.address,
        problem.check,
        problem.severity,
        problem.message,
        problem.advice,
    )
