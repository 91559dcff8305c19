"""Where the sections of a solo begin."""

from __future__ import annotations

from tabtools.model.solo import Bar, Like, Section, Solo, first_number


def sections_of(solo: Solo) -> dict[int, list[Section]]:
    """The sections that begin with each bar, by its number; those behind the last bar are left out."""
    found: dict[int, list[Section]] = {}
    waiting: list[Section] = []
    for item in solo.items:
        if isinstance(item, Section):
            waiting.append(item)
        elif isinstance(item, Bar | Like):
            found.setdefault(first_number(item), []).extend(waiting)
            waiting = []
    return found
