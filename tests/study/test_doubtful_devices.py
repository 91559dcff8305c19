"""What a device says is called uncertain where something is that it rests on, wherever it is shown."""

from __future__ import annotations

import json
from typing import Any

import pytest
from study_cases import timeline_of_text

from tabtools.checks.subject import subject_of
from tabtools.engraving.metrics import with_accidentals
from tabtools.hand import hand_of
from tabtools.reports.annotation import as_json
from tabtools.reports.study import as_text
from tabtools.source import SourceText
from tabtools.study import Device, study_of
from tabtools.study.lesson import draft_lesson
from tabtools.website.links import Links
from tabtools.website.solo_page.page import solo_page

HEAD = "title: Oar\nmeter: 4/4\nkey: C major\n\n"
TRIAD = "F#dim triad over D7: 3 5 b7, rising"
CASES = {
    "all is certain": ("bar 1  D7\n1  4:4 3:2 2:1 -\n2-4  .", TRIAD),
    "a doubtful chord": ("bar 1  D7?\n1  4:4 3:2 2:1 -\n2-4  .", f"{TRIAD} (uncertain)"),
    "the next chord is doubtful": ("bar 1  D7 G7?@3\n1  4:4 3:2 2:1 -\n2-4  .", TRIAD),
    "a doubtful chord that goes on": ("bar 1  D7?\n1-4  .\n\nbar 2\n1  4:4 3:2 2:1 -\n2-4  .", f"{TRIAD} (uncertain)"),
    "one of several places of a pitch": ("bar 1  D7\n1  4:4?5:9 3:2?4:7 2:1 -\n2-4  .", TRIAD),
    "a doubtful pitch": ("bar 1  D7\n1  4:4? 3:2 2:1 -\n2-4  .", f"{TRIAD} (uncertain)"),
    "one of several pitches": ("bar 1  D7\n1  4:4?4:5 3:2 2:1 -\n2-4  .", f"{TRIAD} (uncertain)"),
    "a doubtful rhythm": ("bar 1  D7\n1?  4:4 3:2 2:1\n2-4  .", f"{TRIAD} (rhythm uncertain)"),
    "a figure again and again over a doubtful chord": (
        "bar 1  Am?\n1  2:10 2:8 2:10 2:8\n2  2:10 2:8 - -\n3-4  .",
        "figure of two notes, three times: 1 b7 of Am (uncertain)",
    ),
    "a doubtful chord and rhythm": ("bar 1  D7?\n1?  4:4 3:2 2:1\n2-4  .", f"{TRIAD} (uncertain)"),
}


def devices(music: str) -> tuple[Device, ...]:
    return study_of(timeline_of_text(HEAD + music + "\n")).devices


@pytest.mark.parametrize("name", CASES)
def test_case(name: str) -> None:
    music, said = CASES[name]
    (device,) = devices(music)
    assert device.sentence == said
    assert device.uncertain == said.endswith(" (uncertain)")


def test_a_chord_that_begins_within_a_doubtful_count() -> None:
    (device,) = devices("bar 1  D7 G7@4\n1-4?  4:4 3:2 2:1 - - -")
    assert device.uncertain


def test_where_the_hand_goes_does_not_depend_on_the_chord() -> None:
    sure, doubted = (
        [one for one in devices(f"bar 1  {chord}\n1-2  4:2 4:4 3:2 3:4\n3-4  3:12 3:14 2:12 2:15") if one.kind == kind]
        for kind in ["position shift"]
        for chord in ("D7", "D7?")
    )
    assert sure
    assert doubted == sure


def test_where_the_hand_goes_depends_on_where_a_pitch_is_played() -> None:
    """The same pitch at another place: its name and its degree are certain, the way of the hand is not."""
    shifts = [
        one.sentence
        for one in devices("bar 1  D7\n1-2  4:2 4:4 3:2 3:4?4:9\n3-4  3:12?4:17 3:14 2:12 2:15")
        if one.kind == "position shift"
    ]
    assert shifts and all(sentence.endswith(" (uncertain)") for sentence in shifts)


def test_it_is_said_wherever_devices_are_shown() -> None:
    text = HEAD + CASES["a doubtful chord"][0] + "\n"
    subject = subject_of(SourceText("oar.solo", text))
    timeline, study = subject.timeline, study_of(subject.timeline)
    said = f"{TRIAD} (uncertain)"
    assert f"  1.1  {said}" in as_text(study, timeline.bars)
    told: dict[str, Any] = json.loads(as_json(study, hand_of(timeline), timeline.bars))
    assert [(one["sentence"], one["uncertain"]) for one in told["devices"]] == [(said, True)]
    assert all(note["role_uncertain"] for note in told["notes"])
    lesson = draft_lesson(study)
    assert ", over D7 (uncertain)." in lesson
    assert "b7, rising (uncertain)." in lesson
    page = solo_page("oar", subject, None, (), Links(directory_urls=False))
    assert f"{with_accidentals(said)}." in page.study.html()
    assert "3 of D7 (uncertain)" in page.tab
