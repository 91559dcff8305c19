"""Two voices: which notes each holds, in which values, and that nothing is lost between them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from case_files import Case, cases_in
from exported import DEMO, MADE, demo, made, timeline

from tabtools.score import Measure, WrittenEvent, measures_of, voices_of
from tabtools.score.values import halvings_of
from tabtools.timeline import TimedNote, Timeline

CASES = cases_in(Path(__file__).parent / "cases" / "voices.txt", "..")
VALUES = {0: "w", 1: "h", 2: "q", 3: "8", 4: "16", 5: "32"}


def told(voices: Sequence[Measure], notes: Sequence[TimedNote]) -> list[str]:
    names = ("alone",) if len(voices) == 1 else ("upper", "lower")
    return [
        f"{name}: {', '.join(_told(event, notes) for event in voice.events)}"
        for name, voice in zip(names, voices, strict=True)
    ]


def _told(event: WrittenEvent, notes: Sequence[TimedNote]) -> str:
    heads = [
        f"{'~' * one.tied_in}{notes[one.index].string}:{notes[one.index].fret}{'~' * one.tied_out}"
        for one in event.notes
    ]
    return f"{'+'.join(heads) or 'rest'} {VALUES[halvings_of(event.written)]}{'.' * event.dots}"


@pytest.mark.parametrize("case", CASES, ids=str)
def test_the_voices(case: Case) -> None:
    solo = timeline(f"title: A\nmeter: 4/4\n\n{case.text}")
    found = [line for voices in voices_of(solo, measures_of(solo)) for line in told(voices, solo.notes)]
    assert found == case.said[".."]


def check(solo: Timeline) -> int:
    """Every note is struck once in one voice, every voice fills its bar; how many bars have two."""
    measures = measures_of(solo)
    split = voices_of(solo, measures)
    struck = [index for voices in split for voice in voices for event in voice.events for index in event.struck]
    assert sorted(struck) == list(range(len(solo.notes)))
    for whole, voices in zip(measures, split, strict=True):
        for voice in voices:
            assert sum(event.length for event in voice.events) == whole.length
    tied = [
        (one.tied_in, one.tied_out)
        for voices in split
        for voice in voices
        for event in voice.events
        for one in event.notes
    ]
    assert sum(one for one, _ in tied) == sum(one for _, one in tied)
    return sum(len(voices) == 2 for voices in split)


@pytest.mark.parametrize("name", DEMO)
def test_the_demo_solos(name: str) -> None:
    expected = {"letter-from-the-ferry": 16, "bell-buoy": 20}
    assert check(demo(name)) == expected.get(name, 0)


def test_generated_solos() -> None:
    assert sum(check(made(seed)) for seed in MADE) > 0
