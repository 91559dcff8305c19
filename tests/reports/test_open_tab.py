"""Plain tab of what is not known yet: nothing vanishes, everything stands under and over its own column."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest
from case_files import Case, cases_in
from drawn import timeline
from hypothesis import given, settings
from strategies import full_solos
from thoroughness import share

from tabtools.hand import hand_of
from tabtools.model.solo import Solo
from tabtools.reports import annotation, hands
from tabtools.reports.tab import WIDTH, cell, plain_tab
from tabtools.timeline import Timeline, timeline_of

CASES = cases_in(Path(__file__).parent / "cases" / "open-tab.txt", "show", "annotate", "hands")


def shown(kind: str, timed: Timeline) -> str:
    bars = list(timed.bars)
    if kind == "show":
        return plain_tab(timed)
    if kind == "annotate":
        return annotation.as_text(timed, bars).partition("\n\n")[2]
    return hands.as_text(hand_of(timed), bars).partition("\n\n")[2].partition("\n\nWhat is asked")[0]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_what_is_shown(case: Case) -> None:
    timed = timeline(case.text)
    for kind, lines in case.said.items():
        if lines:
            assert shown(kind, timed).split("\n") == lines
            assert max(map(len, lines)) <= WIDTH


@settings(max_examples=share(60))
@given(full_solos())
def test_every_note_stands_where_its_column_says(solo: Solo) -> None:
    """The label of each note is its own number here, so that its column can be found again."""
    timed = timeline_of(solo)
    strings = len(solo.header.instrument.tuning.names)
    crowded = Counter((note.onset, note.string) for note in timed.notes if note.string)
    found: set[int] = set()
    for system in plain_tab(timed, label=lambda note: f"n{note.index}").split("\n\n"):
        rows = system.split("\n")
        foot = max((place for place, row in enumerate(rows) if "|" in row), default=len(rows))
        for number in re.finditer(r"n(\d+)", "\n".join(row.ljust(WIDTH) for row in rows[foot + 1 :])):
            note, at = timed.notes[int(number[1])], number.start() % (WIDTH + 1)
            found.add(note.index)
            if note.string <= strings and crowded[note.onset, note.string] < 2:
                assert any(row[at:].startswith(cell(note.note)) for row in rows[: foot + 1]), (note.address, system)
    assert found == {note.index for note in timed.notes}
