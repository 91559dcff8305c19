"""Triads and seventh chords in every inversion and order are found and named as music21 names them.

Outside truth: music21's root and common name of the same pitches, spelled above the root. An augmented triad and a
diminished seventh have no one root by ear: there the name has to be music21's, and the root the lowest note, which is
how the device's rule decides without a chord.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

import pytest
from music21 import chord as music21_chord
from study_cases import solo_text, timeline_of_text

from tabtools.model.harmony import Degree, tone_above
from tabtools.model.pitch import FLAT_NAMES, parse_tone, pitch_name
from tabtools.study import study_of

COMMON_NAMES = {
    "major triad": "",
    "minor triad": "m",
    "diminished triad": "dim",
    "augmented triad": "aug",
    "major seventh chord": "maj7",
    "dominant seventh chord": "7",
    "minor seventh chord": "m7",
    "minor-augmented tetrachord": "m(maj7)",
    "half-diminished seventh chord": "m7b5",
    "diminished seventh chord": "dim7",
    "augmented major tetrachord": "maj7#5",
}
DEGREES = {
    "major triad": ((1, 0), (3, 0), (5, 0)),
    "minor triad": ((1, 0), (3, -1), (5, 0)),
    "diminished triad": ((1, 0), (3, -1), (5, -1)),
    "augmented triad": ((1, 0), (3, 0), (5, 1)),
    "major seventh chord": ((1, 0), (3, 0), (5, 0), (7, 0)),
    "dominant seventh chord": ((1, 0), (3, 0), (5, 0), (7, -1)),
    "minor seventh chord": ((1, 0), (3, -1), (5, 0), (7, -1)),
    "minor-augmented tetrachord": ((1, 0), (3, -1), (5, 0), (7, 0)),
    "half-diminished seventh chord": ((1, 0), (3, -1), (5, -1), (7, -1)),
    "diminished seventh chord": ((1, 0), (3, -1), (5, -1), (7, -2)),
    "augmented major tetrachord": ((1, 0), (3, 0), (5, 1), (7, 0)),
}
ROOTLESS = {"augmented triad", "diminished seventh chord"}
THOROUGH_ROOTS = ("C", "Gb")
LOWEST = 57


def inversions(root: str, name: str) -> Iterator[tuple[list[int], list[str]]]:
    """The chord in close position with each tone at the bottom: MIDI numbers, and names spelled above the root."""
    tones = [tone_above(parse_tone(root), Degree(*degree)) for degree in DEGREES[name]]
    for bottom in range(len(tones)):
        turned = tones[bottom:] + tones[:bottom]
        pitches = [LOWEST + (turned[0].pitch_class - LOWEST) % 12]
        for tone in turned[1:]:
            pitches.append(pitches[-1] + (tone.pitch_class - pitches[-1]) % 12)
        yield pitches, [pitch_name(midi, tone).replace("b", "-") for midi, tone in zip(pitches, turned, strict=True)]


@pytest.mark.parametrize("name", COMMON_NAMES)
def test_every_inversion_and_order(name: str) -> None:
    bars, expected = [], []
    for root in FLAT_NAMES:
        for pitches, spelled in inversions(root, name):
            theirs = music21_chord.Chord(spelled)
            assert theirs.commonName == name
            their_root = min(pitches) % 12 if name in ROOTLESS else theirs.root().pitchClass
            orders = list(permutations(pitches))
            for order in orders if root in THOROUGH_ROOTS else (orders[0], orders[-1], orders[len(orders) // 2]):
                names = " ".join(pitch_name(midi) for midi in order)
                bars += [f"bar {len(expected) + 1}  NC", f"1  {names}", "2-4  ."]
                expected.append((their_root, COMMON_NAMES[name], theirs.inversion()))
    study = study_of(timeline_of_text(solo_text([], bars)))
    found = [device for device in study.devices if device.kind == "arpeggio"]
    assert [device.range.first.bar for device in found] == list(range(1, len(expected) + 1))
    for device, (root, shape, inversion) in zip(found, expected, strict=True):
        letter, _, rest = device.data["chord"].partition(shape) if shape else (device.data["chord"], "", "")
        assert (parse_tone(letter).pitch_class, rest) == (root, ""), device
        assert len(device.notes) == len(DEGREES[name])
        assert name in ROOTLESS or device.data["inversion"] == inversion, device
