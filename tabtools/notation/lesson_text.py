"""The text of a lesson: its lines outside of fenced code."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator
from typing import NamedTuple

from tabtools.source import SourceText

_OPENING = re.compile(r"(?P<fence>~{3,}|`{3,}) *(\{.*\}|\.?[\w#.+-]* *(hl_lines=(\"|').*\4 *)?)\Z")
"""What opens code for the extension `fenced_code` of Python-Markdown, which makes the pages."""
_CLOSING = re.compile(r"(?P<fence>~{3,}|`{3,}) *\Z")


class TextLine(NamedTuple):
    """A line without its newline; `number` counts from 1, `start` is its offset in characters."""

    number: int
    start: int
    text: str


def text_lines(lesson: SourceText) -> Iterator[TextLine]:
    """The lines outside of fenced code. Code whose end is missing is text: that is how it is published."""
    lines = lesson.lines()
    closings: dict[str, list[int]] = {}
    for at, line in enumerate(lines):
        if found := _CLOSING.match(line):
            closings.setdefault(found["fence"], []).append(at)
    offset = behind = 0
    for at, line in enumerate(lines):
        if at >= behind:
            end = _end_of_code(line, at, closings)
            if end is None:
                yield TextLine(at + 1, offset, line)
            else:
                behind = end + 1
        offset += len(line) + 1


def _end_of_code(line: str, at: int, closings: dict[str, list[int]]) -> int | None:
    """Where the code ends that a line opens; None where it opens none."""
    opening = _OPENING.match(line)
    if opening is None:
        return None
    ends = closings.get(opening["fence"], [])
    later = bisect_right(ends, at)
    return ends[later] if later < len(ends) else None
