"""Case by case: which notes stand in each value of a bar, struck or held, and what they are tied to."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from case_files import Case, cases_in
from exported import timeline
from forms import short

from tabtools.score import measures_of
from tabtools.score.records import WrittenEvent, WrittenNote
from tabtools.timeline import Timeline

CASES = cases_in(Path(__file__).parent / "cases" / "notes.txt", "--")
HEADER = "title: A\nmeter: 4/4\n\n"


@pytest.mark.parametrize("case", CASES, ids=str)
def test_case(case: Case) -> None:
    assert list(told(case)) == case.said["--"]


def told(case: Case) -> Iterator[str]:
    music = timeline(HEADER + case.text)
    for measure in measures_of(music):
        scale = f", written {measure.scale} times as long" if measure.scale != 1 else ""
        yield f"bar {measure.bar.number}: {measure.length}{scale}"
        for event in measure.events:
            yield f"  {event.onset} {value(event)}: {', '.join(note(one, music) for one in event.notes) or 'rest'}"
        for stretch in measure.doubtful:
            yield f"  doubtful {stretch.onset}-{stretch.end}: events {stretch.first} to {stretch.last}"


def value(event: WrittenEvent) -> str:
    if event.fills_bar:
        return "whole bar"
    value = short(event.name) + "." * event.dots
    return f"? (near {value})" if event.doubtful else "?" * event.unheard + value


def note(one: WrittenNote, music: Timeline) -> str:
    flags = {
        "struck": one.struck,
        "held": not one.struck,
        "tied from": one.tied_in,
        "tied on": one.tied_out,
        "last": one.last,
        "graced": one.graced,
    }
    timed = music.notes[one.index]
    name = timed.string or (timed.note.pitch.name if timed.note.pitch else "?")
    return " ".join([f"{name}", *(word for word, holds in flags.items() if holds)])
