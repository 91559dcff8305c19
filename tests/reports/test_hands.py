"""Fingers, positions and figures as the annotation shows them."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from tabtools.checks.subject import subject_of
from tabtools.cli import main
from tabtools.hand.demands import CAUTION, demands_of
from tabtools.reports.annotation import as_json
from tabtools.reports.hands import demands_text
from tabtools.source import from_text
from tabtools.study import study_of

Annotate = Callable[..., str]

OPEN = "title: A\nrights: CC0-1.0\nmeter: 4/4\n\nbar 1  Am\n1    3:5 =D4\n2    =D4 b=E4\n3    3:=D4 3:?\n4    ??\n"

SOLO = """title: Low Water
rights: CC0-1.0
meter: 4/4
tempo: 120

bar 1  Am
1    3:5 3:7 2:0 3:x
2    3:5h7 t3:12
3    1:12 1:15
4    2:15b17

bar 2
1-4  6:1+5:3+4:3

passage 2.1-2.1  Low end
"""


@pytest.fixture
def annotate(tmp_path: Path) -> Annotate:
    """What the command prints for a solo, with more options."""

    def run(*options: str, solo: str = SOLO) -> str:
        path = tmp_path / "low-water.solo"
        path.write_text(solo, encoding="utf-8")
        result = CliRunner().invoke(main, ["annotate", str(path), *options])
        assert result.exit_code == 0, result.output
        return result.output

    return run


def test_fingers_stand_under_the_notes_and_positions_where_they_change(annotate: Annotate) -> None:
    shown = annotate("--hands", "--bars", "1").splitlines()
    (fingers,) = [line.split() for line in shown if line.startswith("   V.1")]
    assert fingers == ["V.1", "3", "0", ".", "13", "t", "XII.1", "4", "3"]


def test_a_bend_that_no_string_bears_has_no_figures(annotate: Annotate) -> None:
    broken = SOLO.replace("2:15b17", "5:16b99")
    assert "widest bend: 83 semitones at 5:16, more than a string bears, 1.4.1\n" in annotate("--hands", solo=broken)
    bend = json.loads(annotate("--format", "json", solo=broken))["hands"]["bend"]
    assert (bend["semitones"], bend["travel_mm"], bend["newtons"]) == (83, None, None)


def test_demands_of_what_is_shown_and_of_its_passages(annotate: Annotate) -> None:
    shown = annotate("--hands")
    assert "notes a second, picked: at most 5, 2.2 over four seconds" in shown
    assert "widest bend: 2 semitones at 2:15, 15 mm aside, 8 N, 1.4.1" in shown
    assert "2.1  Low end\n  notes a second, picked: at most 1" in shown
    assert "Low end" not in annotate("--hands", "--bars", "1")
    assert " ".join(shown.split()).endswith(CAUTION)


def test_what_rests_on_a_place_that_is_not_certain_says_so(annotate: Annotate) -> None:
    shown = annotate("--hands", solo="title: A\nmeter: 4/4\n\nbar 1\n1  3:5 3:17?4:22\n2-4  3:17 -\n")
    assert re.search(r"most hurried shift: position V to \w+, .*, 1\.1\.2 \(uncertain\)\n", shown)


def test_nothing_is_asked_for_a_rest(annotate: Annotate) -> None:
    assert "asked of the hands" not in annotate("--hands", solo="title: A\nmeter: 4/4\n\nbar 1\n1-4  .\n")


def test_degrees_are_shown_without_the_option(annotate: Annotate) -> None:
    assert "V.1" not in annotate()


def test_json_holds_finger_position_and_reach(annotate: Annotate) -> None:
    document = json.loads(annotate("--format", "json"))
    notes = [(note["finger"], note["position"], note["reach_mm"]) for note in document["notes"]]
    assert notes[:4] == [("1", 5, 0.0), ("3", 5, 53.0), ("0", None, None), (None, None, None)]
    assert notes[5] == ("tap", None, None)
    assert [finger for finger, _, _ in notes[-3:]] == ["1", "3", "4"]


def test_json_holds_the_figures(annotate: Annotate) -> None:
    hands = json.loads(annotate("--format", "json"))["hands"]
    assert hands["notes_a_second"]["picked"] == {"top": 5.0, "sustained": 2.25}
    assert hands["bend"] == {
        "at": "1.4.1",
        "semitones": 2.0,
        "travel_mm": pytest.approx(14.5, abs=0.5),
        "newtons": pytest.approx(8, abs=0.5),
        "string": 2,
        "fret": 15,
    }
    assert hands["reach"]["frets"] == [1, 3]
    assert hands["positions"] == [1, 5, 12]


EXTREME = """\
title: A
meter: 32/1
tempo: 10
capo: 20
frets: 36
scale-length: 300 mm
gauges: 4 60 60 60w 60w 60w
reference: 480
tuning: C1 C1 C1 C1 C1 E6

bar 1  Am7
1  1:0b99
2  6:16b99r0 6:1/99
3  6:16b12 1:1
4-32  1:0pb40[trem]
"""


def test_json_is_json_whatever_is_asked_of_the_hands() -> None:
    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    subject = subject_of(from_text(EXTREME))
    assert any(not math.isfinite(bent.bend.force) for bent in subject.hand.bends)
    text = as_json(study_of(subject.timeline), subject.hand, list(subject.timeline.bars))
    bend = json.loads(text, parse_constant=refuse)["hands"]["bend"]
    assert (bend["travel_mm"], bend["newtons"]) == (None, None)


def test_notes_without_a_place_are_left_out_and_that_is_said() -> None:
    subject = subject_of(from_text(OPEN))
    text = demands_text("The whole solo", demands_of(subject.hand))
    assert text.splitlines()[-1] == "  left out: 3 notes whose place on the neck is not known yet"
    document = json.loads(as_json(study_of(subject.timeline), subject.hand, list(subject.timeline.bars)))
    assert document["hands"]["left_out"] == 3
