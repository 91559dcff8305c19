"""The table of scales, and the scales a set of tones fits into.

Outside truth: the scales of `tonal` 6.5.1 (npm, MIT; figures in tests/outside) by name and degree, and music21's
scale classes.
"""

from __future__ import annotations

import pytest
from harmony_cases import ROOTS, outside_rows, rows_of
from hypothesis import given
from hypothesis import strategies as st
from music21 import scale as music21_scale

from tabtools.harmony.scales import SCALES, scale_named, scales_holding
from tabtools.model.harmony import MODES, SCALE_DEGREES
from tabtools.model.pitch import parse_tone

MUSIC21 = {
    "major": music21_scale.MajorScale,
    "minor": music21_scale.MinorScale,
    "harmonic minor": music21_scale.HarmonicMinorScale,
    "dorian": music21_scale.DorianScale,
    "phrygian": music21_scale.PhrygianScale,
    "lydian": music21_scale.LydianScale,
    "mixolydian": music21_scale.MixolydianScale,
    "locrian": music21_scale.LocrianScale,
    "whole tone": music21_scale.WholeToneScale,
    "chromatic": music21_scale.ChromaticScale,
}
PARENTS = {
    "major": "major, dorian, phrygian, lydian, mixolydian, aeolian, locrian",
    "harmonic minor": (
        "harmonic minor, locrian natural 6, ionian augmented, dorian #4, phrygian dominant, lydian #2, ultralocrian"
    ),
    "melodic minor": (
        "melodic minor, dorian b2, lydian augmented, lydian dominant, mixolydian b6, locrian natural 2, altered"
    ),
    "major pentatonic": "major pentatonic, -, -, -, minor pentatonic",
    "major blues": "major blues, -, -, -, -, blues",
}

TONICS = [root for root in ROOTS if root not in ("E#", "B#", "Fb", "Cb")]


def pitch_classes(text: str) -> frozenset[int]:
    return frozenset(parse_tone(name).pitch_class for name in text.split())


def all_names() -> list[str]:
    return [name for scale in SCALES for name in (scale.name, *scale.other_names)]


def test_tonal_has_the_same_scales_under_the_same_names() -> None:
    theirs = {}
    for record in outside_rows("scale_types.json", "scales"):
        theirs |= {name: frozenset(record["pitch_classes"]) for name in (record["name"], *record["aliases"])}
    other_names = {ours: name for ours, name, _ in rows_of("scales_unknown_to_tonal.txt")}
    for scale in SCALES:
        for name in (scale.name, *scale.other_names):
            assert (name in theirs) != (name in other_names), name
            assert scale.pitch_classes(0) == theirs[other_names.get(name, name)], name
    assert set(other_names) <= set(all_names())


@pytest.mark.parametrize("name", MUSIC21)
def test_music21_has_the_same_tones(name: str) -> None:
    for tonic in TONICS:
        tones = MUSIC21[name](tonic.replace("b", "-")).pitches
        assert {tone.pitchClass for tone in tones} == scale_named(name).pitch_classes(parse_tone(tonic).pitch_class)


@pytest.mark.parametrize("name", [name for name in MUSIC21 if name not in ("whole tone", "chromatic")])
def test_music21_spells_the_same_tones(name: str) -> None:
    for tonic in TONICS:
        tones = MUSIC21[name](tonic.replace("b", "-")).pitches[:-1]
        ours = [str(tone) for tone in scale_named(name).tones(parse_tone(tonic))]
        assert ours == [tone.name.replace("-", "b") for tone in tones]


def test_music21_has_the_same_octatonic_scales() -> None:
    half_whole = {tone.pitchClass for tone in music21_scale.OctatonicScale("C", mode="m2").pitches}
    whole_half = {tone.pitchClass for tone in music21_scale.OctatonicScale("C", mode="M2").pitches}
    assert scale_named("half-whole diminished").pitch_classes(0) == half_whole
    assert scale_named("whole-half diminished").pitch_classes(0) == whole_half


@pytest.mark.parametrize("parent", PARENTS)
def test_modes_are_their_parent_from_another_step(parent: str) -> None:
    steps = scale_named(parent).semitones
    for start, name in zip(steps, PARENTS[parent].split(", "), strict=False):
        if name != "-":
            assert scale_named(name).semitones == tuple(sorted((step - start) % 12 for step in steps)), name


def test_the_table_is_in_order_and_says_each_scale_once() -> None:
    sizes = [len(scale.semitones) for scale in SCALES]
    assert sizes == sorted(sizes)
    assert len({scale.semitones for scale in SCALES}) == len(SCALES)
    assert set(SCALE_DEGREES) <= set(all_names())
    assert len(set(all_names())) == len(all_names())
    for scale in SCALES:
        assert scale.semitones[0] == 0
        assert list(scale.semitones) == sorted(scale.semitones)


def test_every_mode_of_a_key_is_a_scale() -> None:
    for mode, semitones in MODES.items():
        assert scale_named(mode).semitones == semitones


def test_names_of_one_scale() -> None:
    assert scale_named("aeolian") is scale_named("minor") is scale_named("natural minor")
    assert scale_named("aeolian").name == "minor"
    with pytest.raises(KeyError):
        scale_named("mixolydish")


@pytest.mark.parametrize(
    ("tones", "tonic", "names"),
    [
        ("D F G A C", "D", "minor pentatonic"),
        ("D F G Ab A C", "D", "blues"),
        ("D E F G A B C", "D", "dorian"),
        ("D E F G A C", "D", "minor, dorian"),
        ("E F G G# A# C D", "E", "altered"),
        ("C D E F# A Bb", "C", "lydian dominant"),
        ("A C", "A", "minor pentatonic, minor six pentatonic"),
    ],
)
def test_smallest_scale_on_a_tonic(tones: str, tonic: str, names: str) -> None:
    found = scales_holding(pitch_classes(tones), parse_tone(tonic).pitch_class)
    assert ", ".join(scale.name for scale in found if len(scale.semitones) == len(found[0].semitones)) == names


@given(st.frozensets(st.integers(0, 11), min_size=1), st.integers(0, 11), st.integers(0, 11))
def test_transposition_changes_no_scale(tones: frozenset[int], tonic: int, by: int) -> None:
    here = scales_holding(tones, tonic)
    assert here == scales_holding(frozenset((tone + by) % 12 for tone in tones), (tonic + by) % 12)
    assert here[-1].name == "chromatic"
    for scale in SCALES:
        assert (scale in here) == (tones <= scale.pitch_classes(tonic))
