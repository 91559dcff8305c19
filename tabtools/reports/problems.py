"""Problems as text for people and JSON for programs."""

from __future__ import annotations

import json
import textwrap
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict
from itertools import groupby

from tabtools.checks.wording import listed
from tabtools.problem import Problem, Severity, placed
from tabtools.reports.alike import Alike, told_apart
from tabtools.source import LESSON_SUFFIX, SUFFIX, SourceText
from tabtools.wording import several

WIDTH = 80
Paint = Callable[[str, str], str]
"""A text and a role (`error`, `warning`, `note`, `place`, `quiet`) to the text as it is shown."""


def as_text(
    problems: Iterable[Problem], sources: Mapping[str, SourceText], style: Paint, everything: bool = False
) -> str:
    """Each problem with its place, source line, caret and advice.

    Of a file the errors come first, and many remarks of one kind are told in one, unless `everything` is wanted.
    """
    blocks: list[str] = []
    for path, of_file in groupby(problems, lambda problem: problem.path):
        own = list(of_file)
        apart, together = (own, []) if everything else told_apart(own)
        blocks += [_block(problem, sources.get(path), style) for problem in apart]
        blocks += [_block_together(alike, sources.get(path), style) for alike in together]
    return "\n".join(blocks)


def _block(problem: Problem, source: SourceText | None, style: Paint) -> str:
    line, _ = source.locate(problem.span.start) if source else (1, 1)
    rows = [_headline(problem, source, _with_address(problem), style)]
    if source and source.text:
        gutter = f"{line:>5} | "
        text, carets = source.excerpt(problem.span, WIDTH - len(gutter) - 1)
        rows.append(f"{style(gutter, 'quiet')}{text}")
        rows.append(f"{style(' ' * 5 + ' | ', 'quiet')}{style(carets, problem.severity)}")
    if problem.advice:
        rows.append(textwrap.fill(problem.advice, WIDTH, initial_indent=" " * 8, subsequent_indent=" " * 8))
    return "\n".join(rows) + "\n"


def _block_together(alike: Alike, source: SourceText | None, style: Paint) -> str:
    bars = listed(alike.bars)
    where = f"bar {bars}" if len(alike.bars) == 1 else f"bars {bars}"
    advice = f"in {where}; tabtools todo {alike.first.path} lists them, --all shows each"
    margin = " " * 8
    wrapped = textwrap.fill(
        advice, WIDTH, initial_indent=margin, subsequent_indent=margin, break_on_hyphens=False, break_long_words=False
    )
    return f"{_headline(alike.first, source, alike.message, style)}\n{wrapped}\n"


def _headline(problem: Problem, source: SourceText | None, message: str, style: Paint) -> str:
    line, column = source.locate(problem.span.start) if source else (1, 1)
    place = style(f"{problem.path}:{line}:{column}:", "place")
    severity = style(f"{problem.severity.word}:", problem.severity)
    return f"{place} {severity} {message} {style(f'[{problem.check}]', 'quiet')}"


def _with_address(problem: Problem) -> str:
    if not problem.address or _says_where(problem):
        return problem.message
    word = "" if "." in problem.address else "bar "
    return f"{word}{problem.address}: {problem.message}"


def _says_where(problem: Problem) -> bool:
    return problem.address in problem.message or f"bar {problem.address.split('.')[0]}" in problem.message


def summary(problems: Sequence[Problem], solos: int) -> str:
    """One line: how many of what in how many solos, each with its lesson."""
    counts = Counter(problem.severity for problem in problems)
    parts = [several(counts[severity], severity.word) for severity in Severity if counts[severity]]
    checked = several(solos, "solo")
    if not parts:
        return f"{checked} checked, nothing found"
    found = {problem.path.removesuffix(LESSON_SUFFIX).removesuffix(SUFFIX) for problem in problems}
    return f"{', '.join(parts)} in {len(found)} of {checked}"


def as_json(problems: Iterable[Problem], sources: Mapping[str, SourceText]) -> str:
    """A list of records: path, line, column, end_line, end_column (1-based, columns in characters) and the rest."""
    records = [asdict(placed(problem, sources.get(problem.path))) for problem in problems]
    return json.dumps(records, ensure_ascii=False, allow_nan=False, indent=2)
