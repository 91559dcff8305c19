"""Two voices are two lines: which notes are the bass, what must not change, and what a single line must not hear."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_studies import Made, solos, usual, written
from made_two_voices import MadeVoices, solos_of_two_voices, written_voices
from study_cases import solo_text, timeline_of_text
from test_properties import OF_TWO_VOICES, devices_in, roles_in
from thoroughness import share

from tabtools.model.instrument import MAX_STRINGS
from tabtools.model.pitch import pitch_name
from tabtools.score.two_voices import bass_notes
from tabtools.study import study_of
from tabtools.study.devices import BASS, EXPLANATIONS
from tabtools.study.devices.wording import STRINGS
from tabtools.study.music import music_of

FEW = settings(max_examples=share(60))

VOICES = {
    "the thumb below the fingers": ("1-4  C3[rh p]+E4[rh a] G3[rh i] C4[rh m] G3[rh i]", "C3"),
    "a thumb that plays a scale with the index has no voice of its own": (
        "1-4  C4[rh p] D4[rh i] E4[rh p] F4[rh i] G4[rh p] A4[rh i]",
        "",
    ),
    "a low note that rings under others": ("1-4  C3 E4 G4 E4 [ring]", "C3"),
    "the same note that does not ring": ("1-4  C3 E4 G4 E4", ""),
    "a thumb that alternates on counts, without marks": (
        "1-4  C3+E4 G4 G3+E4 G4 [ring]",
        "C3 G3",
    ),
    "the fifth on the last count leads on to the next bass note": ("1-4  C3+E4 G4 E4 B2+D4 G4 D4 [ring]", "C3 B2"),
    "a slur in the bass stays there": ("1-4  A2[rh p]+E4[rh a] h6:7 E4[rh a] C4[rh m]", "A2 B2"),
    "a melody note with the last bass note": ("1-4  C3+C5 G3 C3+F4 E4 [ring]", "C3 C3"),
    "a bass on another string while the one before rings": ("1-4  6:0 4:2 3:0 2:0 5:3 4:2 3:0 2:0 [ring]", "E2 C3"),
    "a low fifth below a melody": ("1-4  C3+G3 E4 C5 E4 [ring]", "C3 G3"),
    "a scale that rings": ("1-4  C3 D3 E3 F3 G3 A3 B3 C4 [ring]", ""),
    "a close harmony that rings": ("1-4  C4 E4 G4 E4 [ring]", ""),
}


@pytest.mark.parametrize("name", VOICES)
def test_which_notes_are_the_bass(name: str) -> None:
    line, expected = VOICES[name]
    timeline = timeline_of_text(solo_text(["key: C major"], ["bar 1  C", line]))
    bass = sorted(bass_notes(timeline))
    assert " ".join(pitch_name(round(timeline.notes[at].midi)) for at in bass) == expected


REGISTERS = {
    "a bass struck with the tune on two counts of each bar": (
        ["1-4  A2+E5 C4 G2+D5 B3", "1-4  F2+C5 A3 E2+B4 G#3", "1-4  A2+A4 C4 E2+E4 C4"],
        "A2 G2 F2 E2 A2 E2",
    ),
    "two bars are too few": (["1-4  A2+E5 C4 G2+D5 B3", "1-4  F2+C5 A3 E2+B4 G#3"], ""),
    "a figure below a tune in a register of its own": (
        ["1-4  A2+E5 E3 G3 E3", "1-4  A2+C5 E3 G3+D5 E3", "1-4  A2+A4 E3 G3 E3"],
        "A2 E3 G3 E3 A2 E3 G3 E3 A2 E3 G3 E3",
    ),
    "chords on every count": (["1-4  A2+E4+C5 - G2+D4+B4 -"] * 3, ""),
    "power chords over single notes": (["1-4  G2+D3+G3 E2 A2+E3+A3 E2"] * 3, ""),
    "double stops in sixths over single notes": (["1-4  E4+C5 G4 D4+B4 G4"] * 3, ""),
    "one line": (["1-4  A2 E3 C4 E4"] * 3, ""),
}


@pytest.mark.parametrize("name", REGISTERS)
def test_a_bass_that_no_mark_tells(name: str) -> None:
    lines, expected = REGISTERS[name]
    bars = [line for number, beats in enumerate(lines, 1) for line in (f"bar {number}  Am", beats)]
    timeline = timeline_of_text(solo_text(["key: A minor"], bars))
    bass = sorted(music_of(timeline).bass)
    assert " ".join(pitch_name(round(timeline.notes[at].midi)) for at in bass) == expected


ROLES = {
    "what the bass has of the chord": (
        ["bar 1  C", "1-4  C3+E4 G4 E4 G4 [ring]", "bar 2  C/E", "1-4  E3+G4 C5 G4 C5 [ring]"],
        {"C3": "C, 1 of C, the root in the bass", "E3": "E, 3 of C/E, the third in the bass"},
    ),
    "a passing note of the bass, whatever the melody does": (
        [
            "bar 1  C",
            "1-4  C3[rh p]+E4[rh a] B4[rh m] D3[rh p]+G4[rh a] C5[rh m]",
            "bar 2  C/E",
            "1-4  E3[rh p]+G4[rh a] - - -",
        ],
        {"D3": "D, 2 of C, between C and E, in the bass", "B4": "B, 7 of C, in the scale"},
    ),
    "a suspended note names where it rests": (
        ["bar 1  G", "1-4  G2+B4 D4 G4 D4 [ring]", "bar 2  C", "1-4  C3+D4 G4 C4 G4 [ring]"],
        {"D4": "D, 2 of C, a 9-8 suspension, gives way to C, 1 of C"},
    ),
    "a fourth that the symbol names is suspended all the same": (
        ["bar 1  G7sus4@1 G7@3", "1-4  G2[rh p]+C4[rh m] D3[rh p] G2[rh p]+B3[rh m] D3[rh p]"],
        {"C4": "C, 4 of G7sus4, a 4-3 suspension, gives way to B, 3 of G7"},
    ),
}


@pytest.mark.parametrize("name", ROLES)
def test_roles_are_read_in_their_own_voice(name: str) -> None:
    bars, expected = ROLES[name]
    study = study_of(timeline_of_text(solo_text(["key: C major"], bars)))
    said = {
        pitch_name(round(note.midi)): role.sentence
        for note, role in zip(study.timeline.notes, study.roles, strict=True)
        if note.midi is not None
    }
    assert {name: said[name] for name in expected} == expected


def test_every_string_has_its_name() -> None:
    assert len(STRINGS) == MAX_STRINGS + 1


def test_what_a_suspension_rests_on_is_not_approached_as_well() -> None:
    bars = [
        *("bar 1  G", "1-4  G2[rh p]+D4[rh a] G3[rh i] D3[rh p]+B3[rh m] G3[rh i]"),
        *("bar 2  C", "1-4  C3[rh p]+D4[rh a] G3[rh i] C4[rh m] G3[rh i]"),
    ]
    kinds = {device.kind for device in study_of(timeline_of_text(solo_text(["key: C major"], bars))).devices}
    assert "suspension" in kinds
    assert "approach" not in kinds


@FEW
@given(solos_of_two_voices(), st.integers(-1, 7), st.booleans())
def test_another_key_changes_no_voice_role_or_device(made: MadeVoices, by: int, flats: bool) -> None:
    here, there = study_of(written_voices(made)), study_of(written_voices(made, by, flats))
    assert here.music.bass == there.music.bass
    assert roles_in(here) == roles_in(there)
    assert _without_tones(devices_in(here)) == _without_tones(devices_in(there))


@FEW
@given(solos_of_two_voices())
def test_a_string_lower_changes_no_voice_role_or_device(made: MadeVoices) -> None:
    here, there = study_of(written_voices(made)), study_of(written_voices(made, lower=1))
    assert here.music.bass == there.music.bass
    assert here.roles == there.roles
    assert _pitched(here.devices) == _pitched(there.devices)


@FEW
@given(solos_of_two_voices())
def test_bass_fill_and_tune_share_out_the_notes(made: MadeVoices) -> None:
    music = music_of(written_voices(made))
    upper = {note for struck in music.upper_voice.melody.strokes for note in struck.notes}
    lower = {note for struck in music.lower_voice.melody.strokes for note in struck.notes}
    tune = {note for struck in music.tune.melody.strokes for note in struck.notes}
    assert lower == music.bass
    assert upper | lower == {note for struck in music.melody.strokes for note in struck.notes}
    assert not upper & lower
    assert tune <= upper
    places = [place for phrase in music.tune.phrases for place in range(phrase.first, phrase.last + 1)]
    assert places == list(range(len(music.tune.melody.strokes)))


@FEW
@given(solos_of_two_voices())
def test_of_each_voice_each_note_has_one_main_explanation(made: MadeVoices) -> None:
    study = study_of(written_voices(made))
    for own in (BASS, EXPLANATIONS):
        kinds = {module.KIND for module in own}
        notes = [note for one in study.devices if one.main and one.kind in kinds for note in one.notes[1:]]
        assert len(notes) == len(set(notes))


@FEW
@given(solos())
def test_a_single_line_hears_of_no_voices(made: Made) -> None:
    study = study_of(written(made, usual))
    assert study.music.bass == frozenset()
    assert OF_TWO_VOICES.isdisjoint(device.kind for device in study.devices)


def test_made_solos_have_devices_of_most_kinds() -> None:
    found: set[str] = set()

    @settings(max_examples=share(400))
    @given(solos_of_two_voices())
    def gather(made: MadeVoices) -> None:
        found.update(device.kind for device in study_of(written_voices(made)).devices)

    gather()
    assert found >= OF_TWO_VOICES - {
        "banjo roll",
        "drone",
        "suspension",
        "harmonics",
        "neighbour note",
        "appoggiatura",
        "ostinato",
    }


TONES = ("chords", "bass", "top", "notes", "suspended", "resolved")
"""What of the data of two voices names tones."""


def _without_tones(devices: list[tuple]) -> list[tuple]:
    return [
        (*rest, {name: value for name, value in data.items() if name not in TONES})
        for (*rest, data) in devices
        if rest[0] not in ("moved cell", "position shift", "drone")
    ]


def _pitched(devices: tuple) -> list[tuple]:
    return [
        (one.kind, one.range, one.notes, one.sentence)
        for one in devices
        if one.kind not in ("moved cell", "position shift", "drone")
    ]
