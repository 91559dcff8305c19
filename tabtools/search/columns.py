"""Columns of text, one character a stroke: what makes searching hundreds of thousands of strokes a matter of `find`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tabtools.source import visible

_FIRST = 0x21
_LAST = 0xD7FF
_ZERO = 0x400
NOTHING = " "
"""Stands in a column where there is no value."""


def is_showable(text: str) -> bool:
    """Whether a terminal shows the text and obeys nothing in it."""
    return text.isprintable() or visible(text) == text


def number_cell(value: int | None) -> str:
    """A whole number from -1000 to 1000 as one character, `NOTHING` for None."""
    return NOTHING if value is None else chr(_ZERO + value)


def cell_number(cell: str) -> int | None:
    """What `number_cell` wrote."""
    return None if cell == NOTHING else ord(cell) - _ZERO


def tabled(values: Iterable[str | None]) -> tuple[tuple[str, ...], str]:
    """Values as a table of those that occur and a column of characters that point into it.

    More different values than there are characters (55,000) stand as `NOTHING`.
    """
    table: dict[str, str] = {}
    column = []
    for value in values:
        if value is None or (value not in table and _FIRST + len(table) > _LAST):
            column.append(NOTHING)
        else:
            column.append(table.setdefault(value, chr(_FIRST + len(table))))
    return tuple(table), "".join(column)


def cell_of(table: Sequence[str], value: str) -> str | None:
    """The character that stands for a value of this table, None where it does not occur."""
    try:
        return chr(_FIRST + table.index(value))
    except ValueError:
        return None


def value_of(table: Sequence[str], cell: str) -> str | None:
    """The value a character points to, None for NOTHING and for one that points nowhere."""
    place = ord(cell) - _FIRST
    return table[place] if 0 <= place < len(table) else None
