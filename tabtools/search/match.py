"""Where in a solo a query holds. Sequences are found as text in text, so time grows with the music alone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence, Set
from functools import lru_cache
from typing import NamedTuple

from tabtools.model.pitch import parse_tone
from tabtools.search.columns import NOTHING, cell_number, cell_of, number_cell, value_of
from tabtools.search.devices import devices_named
from tabtools.search.query import Example, Query, Rhythm, WantedChord
from tabtools.search.strokes import DEGREE_CELLS, HIGHEST, LOWEST, OCTAVE, Strokes

_WIDEST = 2 * (HIGHEST - LOWEST)


class Stretch(NamedTuple):
    """The first and the last stroke of a stretch, counted from 0, both inclusive."""

    first: int
    last: int


def stretches(query: Query, strokes: Strokes) -> list[Stretch]:
    """Every stretch of which all criteria hold, in order; those of a sequence may overlap."""
    if query.length:
        found = _sequences(query, strokes)
    elif query.devices:
        found = [Stretch(device.first, device.last) for device in devices_named(strokes, query.devices[:1])]
    else:
        return _runs(query, strokes)
    return [stretch for stretch in found if _is_fit(query, strokes, stretch)]


def example_of(strokes: Strokes, stretch: Stretch, with_rhythm: bool = False) -> Example:
    """What another stretch has to have to be like this one."""
    first, last = stretch
    steps = tuple(map(cell_number, strokes.steps[first + 1 : last + 1]))
    inner = strokes.proportions[first + 1 : last] if with_rhythm else ""
    return Example(steps, tuple(value_of(strokes.time_table, cell) for cell in inner))


# ---- sequences


def _sequences(query: Query, strokes: Strokes) -> list[Stretch]:
    found: Set[int] | range = range(len(strokes) - query.length + 1)
    for starts in _starts(query, strokes):
        found = starts.intersection(found)
        if not found:
            return []
    return [Stretch(start, start + query.length - 1) for start in sorted(found)]


def _starts(query: Query, strokes: Strokes) -> Iterator[set[int]]:
    """For each sequence of the query, the strokes it begins at."""
    if query.intervals:
        yield _occurrences(strokes.steps, "".join(map(number_cell, query.intervals)), 1)
    if query.degrees:
        yield _degree_starts(query.degrees, strokes)
    if query.example:
        yield _example_starts(query.example, strokes)
    if query.rhythm:
        yield _rhythm_starts(query.rhythm, strokes)


def _occurrences(column: str, needle: str, lead: int = 0) -> set[int]:
    """Where the text stands in the column, less `lead`; overlapping ones too."""
    found = set()
    at = column.find(needle)
    while at >= 0:
        found.add(at - lead)
        at = column.find(needle, at + 1)
    return found


def _degree_starts(degrees: Sequence[tuple[int | None, int]], strokes: Strokes) -> set[int]:
    found = _occurrences(strokes.degrees, "".join(DEGREE_CELLS[end] for _, end in degrees))
    for place, (start, _) in enumerate(degrees):
        if start is not None:
            found = {at for at in found if strokes.starts[at + place] == DEGREE_CELLS[start]}
    return found


def _example_starts(example: Example, strokes: Strokes) -> set[int]:
    found = {match.start() - 1 for match in _folded(example.steps).finditer(strokes.steps)}
    if not example.proportions:
        return found
    needle = _cells(strokes.time_table, example.proportions)
    return found & _occurrences(strokes.proportions, needle, 1) if needle else set()


@lru_cache(maxsize=64)
def _folded(steps: tuple[int | None, ...]) -> re.Pattern[str]:
    """Steps with octaves left out, as a pattern of one set of characters a step; it finds overlapping places."""
    sets = []
    for step in steps:
        if step is None:
            sets.append(NOTHING)
        else:
            same = range(-_WIDEST + (step + _WIDEST) % OCTAVE, _WIDEST + 1, OCTAVE)
            sets.append(f"[{''.join(map(number_cell, same))}]")
    return re.compile(f"(?={''.join(sets)})")


def _rhythm_starts(rhythm: Rhythm, strokes: Strokes) -> set[int]:
    """The last duration may be the time to the next stroke or how long the stroke sounds."""
    if rhythm.is_exact:
        values, column, closing, lead = rhythm.values, strokes.beats, strokes.lengths, 0
    else:
        pairs = zip(rhythm.values, rhythm.values[1:], strict=False)
        values, column, closing, lead = (
            tuple(after / before for before, after in pairs),
            strokes.proportions,
            strokes.closings,
            1,
        )
    needle = _cells(strokes.time_table, map(str, values))
    if not needle:
        return set()
    opening, last = needle[:-1], len(needle) - 1
    found = _occurrences(column, needle)
    found |= {at for at in _occurrences(closing, needle[-1], last) if at >= 0 and column[at : at + last] == opening}
    return {at - lead for at in found}


def _cells(table: Sequence[str], values: Iterable[str | None]) -> str:
    """The values as a column over this table would have them; empty where one of them does not occur."""
    found = [NOTHING if value is None else cell_of(table, value) for value in values]
    cells = [cell for cell in found if cell is not None]
    return "".join(cells) if len(cells) == len(found) else ""


# ---- what a stretch has to be besides


def _is_fit(query: Query, strokes: Strokes, stretch: Stretch) -> bool:
    first, last = stretch
    if query.chord and not _chord_cells(query.chord, strokes).issuperset(strokes.chords[first : last + 1]):
        return False
    played = set(strokes.plays[first : last + 1])
    if not all(played & _play_cells((technique,), strokes.play_table) for technique in query.techniques):
        return False
    return all(
        any(device.first <= first and last <= device.last for device in devices_named(strokes, (name,)))
        for name in query.devices
    )


def _runs(query: Query, strokes: Strokes) -> list[Stretch]:
    """The longest runs of strokes over the chord and played in all ways; they end where the chord changes."""
    over = _chord_cells(query.chord, strokes) if query.chord else None
    played = _play_cells(query.techniques, strokes.play_table) if query.techniques else None
    if not (over is None or over) or not (played is None or played):
        return []
    runs: list[Stretch] = []
    before = ""
    for at, (chord, play) in enumerate(zip(strokes.chords, strokes.plays, strict=True)):
        is_fit = (over is None or chord in over) and (played is None or play in played)
        if is_fit and before and (over is None or chord == before):
            runs[-1] = Stretch(runs[-1].first, at)
        elif is_fit:
            runs.append(Stretch(at, at))
        before = chord if is_fit else ""
    return runs


def _play_cells(techniques: tuple[str, ...], table: tuple[str, ...]) -> set[str]:
    return set(_cells(table, (entry for entry in table if set(techniques).issubset(entry.split(" ")))))


def _chord_cells(chord: WantedChord, strokes: Strokes) -> set[str]:
    if chord.type is None:
        return {NOTHING}
    table = strokes.chord_table
    return set(_cells(table, (entry for entry in table if _is_wanted(chord, entry))))


@lru_cache(maxsize=4096)
def _is_wanted(chord: WantedChord, entry: str) -> bool:
    _, root, type_, bass = entry.split(" ")
    return type_ == chord.type and _is_tone(chord.root, root) and _is_tone(chord.bass, bass)


def _is_tone(pitch_class: int | None, name: str) -> bool:
    try:
        return pitch_class is None or parse_tone(name).pitch_class == pitch_class
    except ValueError:
        return False
