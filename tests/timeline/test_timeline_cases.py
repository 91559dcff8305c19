"""Solos in time: each case a solo, and tables of what sounds when.

A case file has cases: `== name`, the text of a solo, then `.. ` lines. The first of them names the columns of a
table, the others are its rows, `-` for nothing. A table whose first column is `bar` lists every bar as it is played,
one whose first column is `address` every note. Onsets, lengths and durations are in quarter notes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from tabtools.model.pitch import pitch_name
from tabtools.notation.build import read_solo
from tabtools.source import from_text
from tabtools.timeline import TimedBar, TimedNote, Timeline, timeline_of

FOLDER = Path(__file__).parent / "cases"


class Case(NamedTuple):
    file: str
    name: str
    text: str
    tables: list[list[list[str]]]

    def __str__(self) -> str:
        return f"{self.file}: {self.name}"


def cases() -> Iterator[Case]:
    for path in sorted(FOLDER.glob("*.txt")):
        for chunk in re.split(r"^== ", path.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
            name, *lines = chunk.rstrip("\n").split("\n")
            text = "".join(f"{line}\n" for line in lines if not line.startswith(".. "))
            tables: list[list[list[str]]] = []
            for row in (line[3:].split() for line in lines if line.startswith(".. ")):
                if row[0] in ("address", "bar"):
                    tables.append([])
                tables[-1].append(row)
            yield Case(path.stem, name, text, tables)


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


CASES = list(cases())


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case(case: Case) -> None:
    reading = read_solo(from_text(case.text))
    assert reading.problems == ()
    timeline = timeline_of(reading.solo)
    assert case.tables, "a case expects something"
    for columns, *rows in case.tables:
        assert tabled(timeline, columns) == rows


def test_names_of_cases_are_told_apart() -> None:
    names = [str(case) for case in CASES]
    assert len(names) == len(set(names))
