"""The places of a text that stand between markers, and the text decided for a side."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple

from tabtools.notation.conflicts import SIZE

Side = Literal["ours", "base", "theirs"]
Rows = tuple[str, ...]

_OPENING = re.compile(rf"(<{{{SIZE},}})(?:\s|\Z)")


class MarkersError(Exception):
    """Markers that are not as a merge leaves them; `line` is the first of them, counted from 1."""

    def __init__(self, line: int):
        super().__init__(f"the markers at line {line} are not as a merge leaves them")
        self.line = line


class Marked(NamedTuple):
    """A place between markers, as indices of lines: its opening marker, behind its closing one, and the lines of each
    side; `base` is None where the merge did not write it."""

    start: int
    end: int
    ours: range
    base: range | None
    theirs: range

    def of(self, side: Side) -> range | None:
        return {"ours": self.ours, "base": self.base, "theirs": self.theirs}[side]


def marked_places(lines: Sequence[str]) -> list[Marked]:
    """The places between markers, in order. Raises `MarkersError` where a marker is missing or stands twice.

    Within a place only markers of its own size count: those of other sizes came with the text of a side.
    """
    found: list[Marked] = []
    at = 0
    while at < len(lines):
        opening = _OPENING.match(lines[at])
        at = at + 1 if opening is None else _add(found, lines, at, len(opening[1]))
    return found


def _add(found: list[Marked], lines: Sequence[str], start: int, size: int) -> int:
    """Take in the place that begins at a line; what is returned is the line behind it."""
    signs: list[tuple[str, int]] = []
    for at in range(start + 1, len(lines)):
        sign = _sign(lines[at], size)
        if not sign:
            continue
        signs.append((sign, at))
        if sign == ">":
            break
        if sign == "<":
            raise MarkersError(start + 1)
    order = "".join(sign for sign, _ in signs)
    places = [at for _, at in signs]
    if order == "=>":
        middle, end = places
        found.append(Marked(start, end + 1, range(start + 1, middle), None, range(middle + 1, end)))
    elif order == "|=>":
        base, middle, end = places
        ours, between = range(start + 1, base), range(base + 1, middle)
        found.append(Marked(start, end + 1, ours, between, range(middle + 1, end)))
    else:
        raise MarkersError(start + 1)
    return end + 1


def _sign(line: str, size: int) -> str:
    """The sign of a marker of this size, empty for any other line."""
    sign = line[:1]
    if sign not in ("<", "|", "=", ">") or line[:size] != sign * size:
        return ""
    rest = line[size:]
    return sign if not rest.strip() or (rest[0].isspace() and sign != "=") else ""


class Decided(NamedTuple):
    """A text with one side of every place, and which of its lines, as indices, each place came to."""

    rows: Rows
    places: tuple[range, ...]


def decided_for(side: Side, lines: Sequence[str], places: Iterable[Marked]) -> Decided:
    """The text with this side of every place; nothing stands where the base was not written."""
    rows: list[str] = []
    found: list[range] = []
    at = 0
    for place in places:
        rows.extend(lines[at : place.start])
        own = place.of(side) or range(0)
        found.append(range(len(rows), len(rows) + len(own)))
        rows.extend(lines[line] for line in own)
        at = place.end
    return Decided((*rows, *lines[at:]), tuple(found))
