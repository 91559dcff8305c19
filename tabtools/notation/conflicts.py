"""Conflict markers that a merge left in a text: seven signs, or as many more as git's `conflict-marker-size` says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from tabtools.notation.lesson_text import TextLine, text_lines
from tabtools.source import SourceText, Span

SIZE = 7
"""Of a marker where nobody set another: gitattributes(5)."""
MESSAGE = "a conflict marker left by a merge"
ADVICE = "decide between the two sides: tabtools conflicts shows them"

_MARKER = re.compile(rf"(?P<signs>([<>=|])\2{{{SIZE - 1},}})(?:\s+(?P<label>.*\S))?\s*\Z")


def is_marker(line: str) -> bool:
    """Whether a line is a marker of a solo, where nothing else looks like that."""
    return _MARKER.match(line) is not None


def markers_in_lesson(lesson: SourceText) -> Iterator[Span]:
    """The markers in the text of a lesson, in order.

    In Markdown a line of `=` under a text makes a heading of it, and signs `|` may be a row of a table. Such a line is
    a marker where the same merge left another one around it, or where it can be nothing else.
    """
    lines = list(text_lines(lesson))
    by_size: dict[int, list[_Marker]] = {}
    previous = TextLine(0, 0, "")
    for line in lines:
        if found := _MARKER.match(line.text):
            stands_alone = not previous.text.strip() or previous.number != line.number - 1
            marker = _Marker(line, found["signs"], found["label"] or "", stands_alone)
            by_size.setdefault(len(marker.signs), []).append(marker)
        previous = line
    found_lines = sorted(line for markers in by_size.values() for line in _of_one_size(markers))
    return (Span(line.start, line.start + len(line.text)) for line in found_lines)


class _Marker(NamedTuple):
    """A line that may be a marker: its signs, what stands behind them, and whether no text stands right above it."""

    line: TextLine
    signs: str
    label: str
    stands_alone: bool

    @property
    def is_certain(self) -> bool:
        """Whether it is a marker without any others around it."""
        sign = self.signs[0]
        if sign == "=":
            return self.stands_alone and len(self.signs) == SIZE and not self.label
        return sign in "<>" or bool(self.label and "|" not in self.label)


def _of_one_size(markers: Iterable[_Marker]) -> Iterator[TextLine]:
    is_open = False
    likely: TextLine | None = None
    for marker in markers:
        sign = marker.signs[0]
        if sign == ">" and not is_open and likely is not None:
            yield likely
        if marker.is_certain or (is_open and not (sign == "=" and marker.label)):
            yield marker.line
        elif sign == "=" and not marker.label:
            likely = marker.line
        if sign in "<>":
            is_open, likely = sign == "<", None
