"""Runs are named by scales that hold their notes, and by no larger one than needed.

Outside truth: the pitch classes of the scales of `tonal` 6.5.1 (npm, MIT; figures in tests/outside/scale_types.json).
"""

from __future__ import annotations

import json
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from study_cases import solo_text, timeline_of_text

from tabtools.harmony.scales import SCALES, scale_named
from tabtools.model.pitch import FLAT_NAMES, parse_tone, pitch_name
from tabtools.study import Device, study_of

OUTSIDE = Path(__file__).parents[1] / "outside" / "scale_types.json"
LOWEST = 57
TOLD = [scale for scale in SCALES if len(scale.semitones) <= 8]


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


def run_of(tonic: str, pitches: list[int]) -> Device:
    names = [pitch_name(midi, parse_tone(FLAT_NAMES[midi % 12])) for midi in pitches]
    bars = [f"bar 1  {tonic}5", f"1-4  {' '.join(names)}"]
    (device,) = (
        device
        for device in study_of(timeline_of_text(solo_text([], bars))).devices
        if device.kind == "scale run" and len(device.notes) == len(pitches)
    )
    return device


@pytest.mark.parametrize("scale", TOLD, ids=str)
@pytest.mark.parametrize("tonic", ["C", "F#", "Bb"])
def test_a_whole_scale_is_found_by_its_name(scale, tonic: str) -> None:
    root = parse_tone(tonic).pitch_class
    bottom = LOWEST + (root - LOWEST) % 12
    pitches = [bottom + step for step in (*scale.semitones, 12)]
    assert max(after - before for before, after in pairwise(pitches)) <= 3
    for line in (pitches, pitches[::-1]):
        device = run_of(tonic, line)
        told = [device.data["scale"], *device.data["ties"]]
        sounding = {midi % 12 for midi in line}
        assert f"{tonic} {scale.name}" in told
        assert not device.data["passing"]
        for name in told:
            assert their_tones(name) >= sounding
        assert {len(their_tones(name)) for name in told} == {len(sounding)}


@pytest.mark.parametrize("scale", TOLD, ids=str)
def test_five_notes_of_a_scale_are_named_by_the_smallest_that_holds_them(scale) -> None:
    for start in range(len(scale.semitones)):
        steps = [*scale.semitones, *(step + 12 for step in scale.semitones)][start : start + 5]
        pitches = [60 + step for step in steps]
        if all(after - before == 1 for before, after in pairwise(pitches)):
            continue
        device = run_of("C", pitches)
        told = [device.data["scale"], *device.data["ties"]]
        sounding = {midi % 12 for midi in pitches}
        sizes = {len(their_tones(name)) for name in told}
        assert len(sizes) == 1
        for name in told:
            assert their_tones(name) >= sounding
        smaller = [
            other
            for other in TOLD
            for tonic in (FLAT_NAMES if len(other.semitones) <= 6 else ("C",))
            if len(other.semitones) < min(sizes) and their_tones(f"{tonic} {other.name}") >= sounding
        ]
        assert smaller == [], device
