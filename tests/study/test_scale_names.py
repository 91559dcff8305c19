"""Runs are named by scales that hold their notes and that they show.

Outside truth: the pitch classes of the scales of `tonal` 6.5.1 (npm, MIT; figures in tests/outside/scale_types.json).
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest

from tabtools.harmony.scales import SCALES, Scale, scale_named
from tabtools.model.harmony import Key
from tabtools.model.pitch import parse_tone
from tabtools.study.backing import backing_of
from tabtools.study.scale_names import DECIDING, NamedScale, named_scale

OUTSIDE = Path(__file__).parents[1] / "outside" / "scale_types.json"
LOWEST = 57
TOLD = [scale for scale in SCALES if len(scale.semitones) <= 8]
USUAL = ("major pentatonic", "minor pentatonic", "major", "minor", "dorian", "mixolydian", "lydian", "harmonic minor")


@cache
def theirs() -> dict[str, frozenset[int]]:
    """Pitch classes above the tonic by every name of `tonal`."""
    rows = json.loads(OUTSIDE.read_text(encoding="utf-8"))["scales"]
    return {name: frozenset(row["pitch_classes"]) for row in rows for name in (row["name"], *row["aliases"])}


def their_tones(full_name: str) -> frozenset[int]:
    """The pitch classes of `D dorian`, by a name that `tonal` knows."""
    tonic, _, name = full_name.partition(" ")
    scale = scale_named(name)
    known = next(theirs()[other] for other in (name, scale.name, *scale.other_names) if other in theirs())
    return frozenset((parse_tone(tonic).pitch_class + step) % 12 for step in known)


def named(tonic: str, pitches: list[int], chord: str = "5") -> NamedScale | None:
    return named_scale(pitches, [backing_of(f"{tonic}{chord}", None)])


@pytest.mark.parametrize("scale", [scale for scale in TOLD if "bebop" not in scale.name], ids=str)
@pytest.mark.parametrize("tonic", ["C", "F#", "Bb"])
def test_a_whole_scale_is_named_by_its_tones(scale: Scale, tonic: str) -> None:
    root = parse_tone(tonic).pitch_class
    bottom = LOWEST + (root - LOWEST) % 12
    pitches = [bottom + step for step in (*scale.semitones, 12)]
    found = named(tonic, pitches)
    assert found is not None
    assert found.is_shown
    assert found.skipped(pitches) == 0
    assert their_tones(found.name) == found.tones == {midi % 12 for midi in pitches}


@pytest.mark.parametrize("scale", USUAL)
def test_a_usual_scale_on_the_root_of_its_chord_has_the_name_of_its_root(scale: str) -> None:
    found = named("C", [60 + step for step in scale_named(scale).semitones])
    assert found is not None
    assert found.name == f"C {scale}"


@pytest.mark.parametrize("scale", TOLD, ids=str)
def test_five_notes_are_named_by_a_scale_that_holds_and_shows_them(scale: Scale) -> None:
    for start in range(len(scale.semitones)):
        steps = [*scale.semitones, *(step + 12 for step in scale.semitones)][start : start + 5]
        sounding = {step % 12 for step in steps}
        found = named("C", [60 + step for step in steps])
        if found is None or not found.is_shown:
            continue
        theirs = their_tones(found.name)
        assert theirs >= sounding
        tonic, _, name = found.name.partition(" ")
        if len(theirs) > 5:
            above = {(tone - parse_tone(tonic).pitch_class) % 12 for tone in sounding}
            groups = DECIDING[scale_named(name).name]
            assert any(above.issuperset(group) for group in groups)


def test_five_notes_that_two_modes_share_show_neither() -> None:
    key = Key(parse_tone("D"), "dorian")
    found = named_scale([62, 64, 65, 67, 69], [backing_of("Dm7", key)])
    assert found is not None
    assert (found.name, found.is_shown) == ("D minor", False)
