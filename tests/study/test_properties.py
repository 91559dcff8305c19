"""What must not change: another key, another place on the neck, the same solo again."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from made_studies import Made, lower, nowhere, solos, usual, written
from thoroughness import share

from tabtools.notation.claims import read_claim
from tabtools.study import Device, Role, study_of
from tabtools.study.devices import BASS, SHAPES
from tabtools.study.devices.run import KINDS
from tabtools.study.study import Study
from tabtools.study.truth.heard import HeardNotes
from tabtools.study.truth.verdict import falsehood
from tabtools.timeline.places import notes_at

ABOUT_PLACES = {"moved cell", "position shift", "sweep"}
"""Kinds of devices that are about strings and frets, not about pitches."""
NAMES = {
    "chord",
    "root",
    "claim",
    "over",
    "name",
    "pitch",
    "passing",
    "places",
    "from",
    "to",
    "to_over",
    "chords",
    "pedal",
    "led",
    "line",
}
"""What of a device's data names tones and places, which another key has others of."""

RARELY_MADE = {
    "chromatic run",
    *(
        "wide bend",
        "tapped figure",
        "moved cell",
        "held bend",
        "blue note",
        "root cell",
        "varied answer",
        "stacked fourths",
        "power chords",
        "triad pair",
        "octave displacement",
        "guide tones",
        "sweep",
        "curl",
        "grace into third",
        "approach",
        "octaves",
        "bend figure",
        "bend goal",
        "resolution",
        "landing",
        "bar dip",
        "swept chords",
        "altered line",
        "harmonics",
        "variation",
        "pinch harmonics",
        "tremolo picking",
        "suspension",
        "contrary motion",
        "moving line",
    ),
}
OF_TWO_VOICES = {module.KIND for module in (*BASS, *SHAPES)} - {"suspension"}
"""Kinds of devices that a single line does not have."""
PLACELESS = dict.fromkeys(("devices", "positions", "strings"))
"""What of the statistics is about places."""

FEW = settings(max_examples=share(40))


def roles_in(study: Study) -> list[tuple]:
    return [(role.kind, role.rule, role.tone, role.target, role.uncertain) for role in study.roles]


def degrees_in(study: Study) -> list[tuple]:
    return [(label.degree, label.key_degree, label.path, label.key_path) for label in study.labels]


def devices_in(study: Study, without: set[str] = frozenset()) -> list[tuple]:
    return [
        (device.kind, device.range, device.notes, unnamed(device))
        for device in study.devices
        if device.kind not in without
    ]


def unranked(study: Study) -> list[Device]:
    """The devices that are not about places, whatever place they have among all, and whatever strings they are on."""
    return [
        replace(device, rank=0, sentence=device.sentence.replace(", on other strings", ""))
        for device in study.devices
        if device.kind not in ABOUT_PLACES
    ]


def unnamed(device: Device) -> dict[str, Any]:
    """The data of a device without names of tones; scales by their kind."""
    data = {name: value for name, value in device.data.items() if name not in NAMES}
    if data.get("scale"):
        data["scale"] = data["scale"].split(" ", 1)[1]
    data["ties"] = [tie.split(" ", 1)[1] for tie in data.get("ties", ())]
    return data


@given(solos(), st.integers(-3, 8), st.booleans())
def test_another_key_changes_no_degree_role_or_device(made: Made, by: int, flats: bool) -> None:
    here, there = study_of(written(made, usual)), study_of(written(made, usual, by, flats))
    assert degrees_in(here) == degrees_in(there)
    assert roles_in(here) == roles_in(there)
    assert devices_in(here, {"position shift"}) == devices_in(there, {"position shift"})
    assert here.phrases == there.phrases


@given(solos())
def test_another_place_on_the_neck_changes_no_degree_role_or_device(made: Made) -> None:
    here, there = study_of(written(made, usual)), study_of(written(made, lower))
    assert here.labels == there.labels
    assert here.roles == there.roles
    assert unranked(here) == unranked(there)


@given(solos())
def test_pitches_without_places_are_explained_alike(made: Made) -> None:
    here, there = study_of(written(made, usual)), study_of(written(made, nowhere))
    assert roles_in(here) == roles_in(there)
    assert here.phrases == there.phrases
    assert devices_in(here, ABOUT_PLACES) == devices_in(there, ABOUT_PLACES)


@given(solos())
def test_pitches_without_strings_have_the_same_degrees_roles_and_devices(made: Made) -> None:
    here, there = study_of(written(made, usual, heard=True)), study_of(written(made, nowhere, heard=True))
    assert here.labels == there.labels
    assert here.roles == there.roles
    assert here.phrases == there.phrases
    assert unranked(here) == unranked(there)
    assert {**here.statistics.to_dict(), **PLACELESS} == {**there.statistics.to_dict(), **PLACELESS}


@FEW
@given(solos())
def test_the_same_solo_gives_the_same_study(made: Made) -> None:
    one, other = study_of(written(made, usual)), study_of(written(made, usual))
    assert one.roles == other.roles
    assert one.devices == other.devices
    assert one.statistics == other.statistics


@FEW
@given(solos())
def test_roles_say_what_they_mean(made: Made) -> None:
    study = study_of(written(made, usual))
    assert len(study.roles) == len(study.timeline.notes)
    for role in study.roles:
        check_role(role, study)


def check_role(role: Role, study: Study) -> None:
    assert role.sentence
    assert (role.kind == "chord tone") <= (role.tone == "chord tone")
    if role.kind in ("passing tone", "neighbour tone", "outside"):
        assert role.tone == "chromatic"
    if role.kind == "scale note":
        assert role.tone == "scale note"
    if role.kind in ("enclosure", "approach"):
        target = study.roles[role.target]
        assert target.kind == "bend target" or target.tone in ("chord tone", "extension", "scale note")
    assert role.uncertain == (role.kind == "unclear" or role.rule == "outside")


@FEW
@given(solos())
def test_what_a_device_claims_holds_by_the_check_of_claims(made: Made) -> None:
    timeline = written(made, usual)
    study = study_of(timeline)
    for device in study.devices:
        for said in filter(None, (device.data.get("claim"), device.kind)):
            claim = read_claim(f"@{device.range} {said}")
            assert falsehood(claim, HeardNotes(notes_at(timeline, claim.range), timeline, lambda: study)) is None


@FEW
@given(solos())
def test_phrases_share_out_all_strokes(made: Made) -> None:
    study = study_of(written(made, usual))
    places = [place for phrase in study.phrases for place in range(phrase.first, phrase.last + 1)]
    assert places == list(range(len(study.melody.strokes)))


def test_made_solos_have_devices_of_most_kinds() -> None:
    found: set[str] = set()

    @given(solos())
    def gather(made: Made) -> None:
        found.update(device.kind for device in study_of(written(made, usual)).devices)

    gather()
    assert found >= set(KINDS) - RARELY_MADE - OF_TWO_VOICES, set(KINDS) - found
