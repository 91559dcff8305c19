"""Where the hand stands, and that everything that tells it tells the same."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from exchange_music import made_solo
from played import hand, line
from thoroughness import share

from tabtools.checks.claim import check_lesson
from tabtools.checks.subject import Subject, subject_of
from tabtools.hand.demands import demands_of
from tabtools.hand.position import Stay, positions_at, roman, stays_of
from tabtools.notation.claims import read_claim, spans_of_claims
from tabtools.reports.annotation import as_json
from tabtools.reports.hands import as_text
from tabtools.source import from_text, read_source
from tabtools.study import study_of
from tabtools.study.lesson import draft_lesson
from tabtools.timeline.places import notes_at
from tabtools.website.solo_page.note_records import known_html

DEMO = sorted((Path(__file__).parents[2] / "transcriptions").glob("*.solo"))


@pytest.mark.parametrize(("fret", "numeral"), [(1, "I"), (4, "IV"), (5, "V"), (9, "IX"), (12, "XII"), (19, "XIX")])
def test_positions_are_written_as_numerals(fret: int, numeral: str) -> None:
    assert roman(fret) == numeral


def test_a_stay_lasts_from_the_first_note_it_frets_to_the_last() -> None:
    played = hand(line("3:5 3:7 3:7 1:0 3:5 . 2:12 2:13 2:12 .", tempo=80))
    assert stays_of(played) == (Stay(5, 0, 4), Stay(12, 5, 7))


def test_a_slide_within_a_note_ends_one_stay_and_begins_another() -> None:
    played = hand("bar 1\n1-2  3:5 3:7/12\n3-4  2:13 -\n")
    assert stays_of(played) == (Stay(5, 0, 1), Stay(10, 1, 2))
    assert positions_at(played, [1]) == (5, 10)


def demo_and_made() -> list[Subject]:
    made = [made_solo(seed, is_open=seed % 2 == 0) for seed in range(share(40))]
    return [subject_of(read_source(path)) for path in DEMO] + [subject_of(from_text(text)) for text in made]


@pytest.mark.parametrize("subject", demo_and_made(), ids=lambda subject: subject.solo.header.title)
def test_all_tell_the_same_position(subject: Subject) -> None:
    """Fingers in JSON and below the tab, the page, figures, statistics, shifts, drafted lessons and claims."""
    played, timeline = subject.hand, subject.timeline
    study = study_of(timeline, hand=played)
    positions = [fingered.position for fingered in played.notes]
    by_note = [dict.fromkeys(press.grasp.grip.position for press in presses) for presses in played.pressed]
    document = json.loads(as_json(study, played, timeline.bars))
    assert [note["position"] for note in document["notes"]] == positions
    named = {roman(position) for position in positions if position is not None}
    assert set(re.findall(r"\b([IVX]+)\.", as_text(played, list(timeline.bars)))) == named
    assert set(re.findall(r"position ([IVX]+)\b", known_html(study, played))) == named
    stood = {press.grasp.grip.position for presses in played.pressed for press in presses}
    assert stood == set(demands_of(played).positions) == set(study.statistics.positions)
    for device in study.devices:
        if device.kind == "position shift":
            # a string may go on sounding into the next position
            around = range(device.notes[0] - 2, device.notes[-1] + 1)
            there = {position for index in around for position in by_note[index]}
            assert {device.data["from"], device.data["to"]} <= there
            assert f"position {roman(device.data['from'])} " in device.sentence
    lesson = from_text(draft_lesson(study), "lesson.md")
    assert [finding for finding in check_lesson(lesson, subject) if "position" in finding.message] == []
    for text, span in spans_of_claims(lesson):
        if " position " in text:
            notes = notes_at(timeline, read_claim(text, span).range)
            assert {position for note in notes for position in by_note[note.index]} == {int(text.split()[-1])}
