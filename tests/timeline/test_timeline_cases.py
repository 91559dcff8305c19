"""Solos in time: each case a solo, and tables of what sounds when.

Behind `.. ` stand tables. The first line of one names the columns of a
table, the others are its rows, `-` for nothing. A table whose first column is `bar` lists every bar as it is played,
one whose first column is `address` every note. Onsets, lengths and durations are in quarter notes.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from case_files import Case, cases_in

from tabtools.model.pitch import pitch_name
from tabtools.notation.build import read_solo
from tabtools.source import from_text
from tabtools.timeline import TimedBar, TimedNote, Timeline, timeline_of

FOLDER = Path(__file__).parent / "cases"


def tables(case: Case) -> list[list[list[str]]]:
    """The tables of a case: rows of columns, the first row their names."""
    found: list[list[list[str]]] = []
    for row in (line.split() for line in case.said[".."]):
        if row[0] in ("address", "bar"):
            found.append([])
        found[-1].append(row)
    return found


def number(value: Fraction | int | float | None) -> str:
    if value is None:
        return "-"
    return str(value) if isinstance(value, int | Fraction) else f"{round(value, 3):g}"


def decimal(value: Fraction | int | None) -> str:
    return number(None if value is None else float(value))


def pitch(midi: float | None) -> str:
    return "-" if midi is None else pitch_name(midi)


def symbols(bar: TimedBar) -> str:
    return ",".join(f"{chord.symbol or 'NC'}@{number(chord.onset)}" for chord in bar.chords) or "-"


NOTE_COLUMNS: dict[str, Callable[[TimedNote], str]] = {
    "address": lambda note: str(note.address),
    "part": lambda note: str(note.part),
    "string": lambda note: str(note.string),
    "fret": lambda note: decimal(note.fret),
    "held": lambda note: decimal(note.held),
    "via": lambda note: note.via or "-",
    "attack": lambda note: pitch(note.attack),
    "pitch": lambda note: pitch(note.midi),
    "path": lambda note: ">".join(pitch_name(midi) for midi in note.path) or "-",
    "onset": lambda note: number(note.onset),
    "duration": lambda note: number(note.duration),
    "slot": lambda note: number(note.slot),
    "seconds": lambda note: number(note.start),
    "end": lambda note: number(note.end),
    "chord": lambda note: note.chord or "-",
    "marks": lambda note: ",".join(str(mark).replace(" ", "_") for mark in note.marks) or "-",
    "from": lambda note: number(note.origin),
}

BAR_COLUMNS: dict[str, Callable[[TimedBar], str]] = {
    "bar": lambda bar: str(bar.number),
    "meter": lambda bar: str(bar.meter).replace(" ", "_"),
    "tempo": lambda bar: decimal(bar.tempo),
    "onset": lambda bar: number(bar.onset),
    "length": lambda bar: number(bar.length),
    "start": lambda bar: number(bar.start),
    "end": lambda bar: number(bar.end),
    "chord": lambda bar: bar.chord or "-",
    "chords": symbols,
    "at": lambda bar: decimal(bar.at),
}


def tabled(timeline: Timeline, columns: list[str]) -> list[list[str]]:
    shown: dict[str, Callable[[Any], str]] = BAR_COLUMNS if columns[0] == "bar" else NOTE_COLUMNS
    rows = timeline.bars if columns[0] == "bar" else timeline.notes
    return [[shown[column](row) for column in columns] for row in rows]


@pytest.mark.parametrize("case", cases_in(FOLDER, ".."), ids=str)
def test_case(case: Case) -> None:
    reading = read_solo(from_text(case.text))
    assert reading.problems == ()
    timeline = timeline_of(reading.solo)
    assert case.said[".."], "a case expects something"
    for columns, *rows in tables(case):
        assert tabled(timeline, columns) == rows
