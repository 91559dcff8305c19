"""What a check is given and what it yields."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from tabtools.model.solo import Address
from tabtools.notation.build import Reading, read_solo
from tabtools.problem import Severity
from tabtools.source import SourceText, Span
from tabtools.timeline import Timeline, timeline_of


class Finding(NamedTuple):
    """What a check yields: the place, what is wrong there, what to do about it.

    `address` is the place in the music; `severity` differs from the check's own only where it is given.
    """

    span: Span
    message: str
    advice: str = ""
    address: Address | str = ""
    severity: Severity | None = None


@dataclass(frozen=True)
class Subject:
    """One solo under check: what was read, and (worked out once, when first asked for) its timeline."""

    reading: Reading

    @cached_property
    def timeline(self) -> Timeline:
        return timeline_of(self.solo)

    @property
    def solo(self):
        return self.reading.solo

    @property
    def source(self) -> SourceText:
        return self.reading.source

    def read_faults(self, check: str) -> Iterator[Finding]:
        """What the reader itself reported under the name of `check`."""
        for problem in self.reading.problems:
            if problem.check == check:
                yield Finding(problem.span, problem.message, problem.advice)


def subject_of(source: SourceText) -> Subject:
    """Read a source text for checking."""
    return Subject(read_solo(source))
