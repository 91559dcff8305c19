"""Statistics of one solo counted by hand, and sums."""

from __future__ import annotations

import json
from itertools import permutations
from pathlib import Path

from study_cases import timeline_of_text

from tabtools.study import Statistics, study_of, summed
from tabtools.study.techniques import TECHNIQUES

TRANSCRIPTIONS = Path(__file__).parents[2] / "transcriptions"

COUNTED = """\
key: C major
meter: 4/4
tempo: 60

bar 1  C
1  1:8 2:8
2  3:5[pm] 3:7
3  3:9b11 r9
4  . 2:x

bar 2  Dm7
1  2:6+1:5 -
2-4  3:7~ - .

bar 3  NC
1-4  6:0 6:3?
"""


def counted() -> Statistics:
    return study_of(timeline_of_text(COUNTED)).statistics


def test_notes_and_strokes() -> None:
    found = counted()
    assert (found.solos, found.notes, found.strokes, found.dead, found.uncertain) == (1, 11, 10, 1, 1)
    assert (found.seconds, found.fastest) == (12.0, 1.5)
    assert (found.lowest, found.highest) == ((40, "E2"), (72, "C5"))


def test_degrees_by_chord_type() -> None:
    assert counted().degrees == {
        "major": {"1": 2, "5": 1, "2": 1, "#4": 1, "3": 1},
        "m7": {"b3": 1, "5": 1, "1": 1},
        "no chord": {"3": 1, "5": 1},
    }


def test_chord_tones_on_strong_beats() -> None:
    found = counted()
    assert (found.strong, found.strong_chord_tones) == (4, 3)
    assert (found.weak, found.weak_chord_tones) == (5, 4)
    assert found.strong_share == 0.75
    assert Statistics().strong_share is None


def test_rhythm_and_places() -> None:
    found = counted()
    assert found.density == {2: 3, 1: 4, 0: 5}
    assert found.positions == {5: 6, 7: 3, 3: 1}
    assert found.strings == {1: 2, 2: 3, 3: 5, 6: 2}


def test_techniques() -> None:
    found = counted()
    assert found.techniques == {"palm-mute": 1, "bend": 1, "release": 1, "dead-note": 1, "vibrato": 1}
    assert set(found.techniques) <= set(TECHNIQUES)


def test_what_is_found_is_counted() -> None:
    study = study_of(timeline_of_text(COUNTED))
    found = study.statistics
    assert sum(found.roles.values()) == len(study.roles)
    assert sum(found.devices.values()) == len(study.devices)
    assert sum(sum(counts.values()) for counts in found.degrees.values()) == found.notes


def test_to_dict_is_plain_and_ranked() -> None:
    plain = counted().to_dict()
    assert json.loads(json.dumps(plain)) == plain
    assert list(plain["degrees"]) == ["major", "m7", "no chord"]
    assert list(plain["degrees"]["major"]) == ["1", "#4", "2", "3", "5"]
    assert plain["chord_tones"]["strong_beats"] == {"notes": 4, "chord_tones": 3, "share": 0.75}
    assert (plain["lowest"], plain["highest"]) == ("E2", "C5")


def test_a_collection_adds_up_in_any_order() -> None:
    parts = [
        study_of(timeline_of_text(path.read_text(encoding="utf-8"))).statistics
        for path in sorted(TRANSCRIPTIONS.glob("*.solo"))[:3]
    ]
    total = summed(parts)
    assert total.notes == sum(part.notes for part in parts)
    assert total.solos == 3
    for order in permutations(parts):
        assert summed(order).to_dict() == total.to_dict()
    assert summed([parts[0]]) == parts[0]
    assert summed([]) == Statistics()


def test_a_solo_without_notes() -> None:
    found = study_of(timeline_of_text("meter: 4/4\n")).statistics
    assert (found.notes, found.lowest, found.fastest) == (0, None, 0.0)
    assert found.to_dict()["chord_tones"]["elsewhere"]["share"] is None


def test_what_is_not_known_is_counted_for_what_it_is() -> None:
    text = "key: C major\nmeter: 4/4\n\nbar 1  C\n1  =C4 ?\n2-3  ??\n4? =E4 3:x =G4\n\nbar 2  C\n1-3? =C4 ? 2:8\n4  .\n"
    found = study_of(timeline_of_text(text)).statistics
    assert (found.notes, found.strokes, found.dead, found.uncertain) == (5, 5, 1, 3)
    assert found.strings == {2: 1, 3: 1}
    assert found.density == {2: 2, 0: 1}, "bar 1: counts 1 and 4; bar 2: count 4 alone"
    assert (found.strong, found.weak) == (1, 0), "no rhythm under a doubtful count"
    assert (found.roles["not known"], found.roles["no pitch"]) == (3, 1)
    assert found.degrees == {"major": {"1": 2, "3": 1, "5": 2}}


def test_pitches_and_degrees_are_those_that_are_written_or_that_the_key_has() -> None:
    text = "key: C minor\nmeter: 4/4\n\nbar 1  Cm7\n1  4:8\n2  3:11=F#4\n3  3:11=Gb4\n4  1:11\n"
    found = study_of(timeline_of_text(text)).statistics
    assert (found.lowest, found.highest) == ((58, "Bb3"), (75, "Eb5"))
    assert found.degrees == {"m7": {"b7": 1, "#4": 1, "b5": 1, "b3": 1}}
