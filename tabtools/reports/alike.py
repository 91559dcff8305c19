"""Remarks of one kind in one solo, told together: a first draft has a hundred of them, and one line says it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from tabtools.checks import BY_NAME
from tabtools.problem import Problem, Severity

MOST_APART = 3
"""So many remarks of one kind are told one by one; more are told together."""


class Alike(NamedTuple):
    """All that one check notes in one solo."""

    problems: tuple[Problem, ...]

    @property
    def first(self) -> Problem:
        return self.problems[0]

    @property
    def bars(self) -> list[int]:
        """The numbers of the bars they are in, rising."""
        return sorted({int(one.address.partition(".")[0]) for one in self.problems})

    @property
    def message(self) -> str:
        """`30 notes have no place or no fret yet`."""
        said: str = BY_NAME[self.first.check].TOGETHER
        return said.format(len(self.problems))


def told_apart(problems: Sequence[Problem]) -> tuple[list[Problem], list[Alike]]:
    """What is found in one solo: what is told one by one, errors first; and the remarks that are told together.

    Only those whose check says how they are told together, by its `TOGETHER`, are.
    """
    counts = Counter(one.check for one in problems if hasattr(BY_NAME[one.check], "TOGETHER"))
    together = [check for check, count in counts.items() if count > MOST_APART]
    apart = [one for one in problems if one.check not in together]
    apart.sort(key=lambda one: _SEVERITIES.index(one.severity))
    return apart, [Alike(tuple(one for one in problems if one.check == check)) for check in together]


_SEVERITIES = list(Severity)
