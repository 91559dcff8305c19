"""Roles and devices agree: what a device explains is no riddle."""

from __future__ import annotations

import pytest
from study_cases import solo_text, timeline_of_text

from tabtools.study import Role, study_of

PHRASES = {
    "a triad over the chord": (
        "key: C major",
        ["bar 1  Cmaj7", "1  D5 F#5", "2  A5 D6", "3  A5 F#5", "4  D5 -"],
        "F#, #4 of Cmaj7, outside the scale, a tone of the D triad",
    ),
    "over a pedal note": (
        "key: E minor",
        ["bar 1  E5", "1  E3 B3", "2  E3 F3", "3  E3 G3", "4  E3 F3"],
        "F, b2 of E5, outside the scale, over a pedal note",
    ),
}


def outside(key: str, bars: list[str]) -> list[Role]:
    return [role for role in study_of(timeline_of_text(solo_text([key], bars))).roles if role.kind == "outside"]


@pytest.mark.parametrize("name", PHRASES)
def test_a_note_outside_that_a_device_explains(name: str) -> None:
    key, bars, said = PHRASES[name]
    found = outside(key, bars)
    assert {role.sentence for role in found} == {said}
    assert not any(role.uncertain for role in found)


def test_a_note_that_nothing_explains_stays_uncertain() -> None:
    (role,) = outside("key: C major", ["bar 1  C", "1  A4 F#4", "2  C5 -"])
    assert role.uncertain
    assert role.sentence.endswith("no neighbour explains it")


def test_a_doubtful_reading_stays_uncertain() -> None:
    bars = ["bar 1  Cmaj7", "1  2:15 1:14?", "2  1:17 1:22", "3  1:17 1:14", "4  2:15 -"]
    doubted, other = outside("key: C major", bars)
    assert (doubted.uncertain, other.uncertain) == (True, False)


@pytest.mark.parametrize(("written", "ending"), [("3:2", ""), ("3:2?", " (uncertain)"), ("3:2?3:1", " (uncertain)")])
def test_what_rests_on_a_doubtful_reading_says_so(written: str, ending: str) -> None:
    bars = ["bar 1  D7", f"1  4:4 {written} 2:1 -", "2-4  ."]
    (device,) = study_of(timeline_of_text(solo_text(["key: C major"], bars))).devices
    assert device.sentence == f"F#dim triad over D7: 3 5 b7, rising{ending}"


def test_a_named_run_has_its_own_notes() -> None:
    """F# and C# in a dorian run are no passing tones, whatever the key is."""
    text = solo_text(["key: C major"], ["bar 1  Em7", "1-2  E4 F#4 G4 A4 B4 C#5", "3-4  D5"])
    study = study_of(timeline_of_text(text))
    said = {role.kind: role.sentence for role in study.roles}
    assert "E dorian run up" in study.devices[0].sentence
    assert {role.kind for role in study.roles} == {"chord tone", "scale note"}
    assert said["scale note"] == "C#, a tone of E dorian"


def test_what_a_run_passes_keeps_the_name_it_was_written_with() -> None:
    bars = ["bar 1  C", "1-4  G3 A3 B3 C4 D4 4:13=D#4 E4 F4"]
    device = study_of(timeline_of_text(solo_text(["key: C major"], bars))).devices[0]
    assert device.sentence == "C major run up over C, 8 notes, D# in passing"


def test_the_scale_of_a_run_goes_on_through_its_phrase() -> None:
    bars = ["bar 1  Cm(maj7)", "1-2  C4 D4 Eb4 F4 G4 A4 B4 C5", "3  B4 G4", "4  A4 G4"]
    study = study_of(timeline_of_text(solo_text(["key: C minor"], bars)))
    assert study.roles[-2].sentence == "A, a tone of C melodic minor"
    assert not any(role.uncertain for role in study.roles)


def test_a_sequence_in_a_named_scale_has_its_own_notes() -> None:
    bars = ["bar 1  Dm", "1  C#5 A4 Bb4 G4", "2  D5 Bb4 C#5 A4", "3  E5 C#5 D5 Bb4", "4  ."]
    study = study_of(timeline_of_text(solo_text(["key: D minor"], bars)))
    assert {device.kind for device in study.devices if device.main} == {"sequence"}
    assert not any(role.kind == "outside" for role in study.roles)


def test_a_riff_of_power_chords_shows_its_flat_second() -> None:
    bars = ["bar 1  E5", "1  6:0+5:2 6:0", "2  6:1+5:3 6:0", "3  6:3+5:5 6:0", "4  6:1+5:3 6:0+5:2"]
    study = study_of(timeline_of_text(solo_text(["key: E minor"], bars)))
    assert "F, a tone of E phrygian" in {role.sentence for role in study.roles}
    assert not any(role.uncertain for role in study.roles)


def test_a_note_between_semitones_is_spelled_by_its_way() -> None:
    """Falling it is flat, and no third of a chord that has another one."""
    study = study_of(timeline_of_text(solo_text(["key: C major"], ["bar 1  Dm7", "1-3  G4 F#4 F4", "4  D4"])))
    assert study.roles[1].sentence == "Gb, between G and F"


def test_a_chord_tone_says_what_resolves_to_it() -> None:
    """The seventh falls to the third of the next chord; a note that is left by a leap resolves nowhere."""
    study = study_of(timeline_of_text(solo_text(["key: C major"], ["bar 1  Dm7@1 G7@3", "1-2  A4 C5", "3-4  B4"])))
    assert study.roles[2].sentence == "B, 3 of G7, to which C, b7 of Dm7, resolves"
    study = study_of(timeline_of_text(solo_text(["key: C major"], ["bar 1  Dm7@1 G7@3", "1-2  C5 A4", "3-4  B3"])))
    assert study.roles[2].sentence == "B, 3 of G7"


def test_a_white_key_keeps_its_name() -> None:
    study = study_of(timeline_of_text(solo_text(["key: A major"], ["bar 1  A7", "1-2  E4 F4 F#4", "3-4  A4"])))
    assert study.roles[1].sentence.startswith("F, ")
