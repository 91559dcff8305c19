"""Melodies that people sing and play, with their chords, from music21's corpus (BSD-3-Clause; old, public music)."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

import pytest
from corpus_melodies import CHORALES, chorale, lead_sheets
from thoroughness import IS_THOROUGH

from tabtools.notation.chords import chord_or_none
from tabtools.study import Study, study_of
from tabtools.study.devices.device import Device

TRIAD = (1, 3, 5)
SUNG = tuple(CHORALES) if IS_THOROUGH else (5,)


def torn_triads(study: Study) -> Iterator[str]:
    """The arpeggios that go over a change of chord although one chord has its whole triad in them."""
    for device in study.devices:
        if device.kind == "arpeggio" and len(device.data["over"]) > 1:
            yield from (f"{device.range}: {device.sentence}" for _ in whole_triads(study, device))


def whole_triads(study: Study, device: Device) -> Iterator[str]:
    notes = [study.timeline.notes[index] for index in device.notes]
    for symbol, own in groupby(notes, key=lambda note: note.chord):
        chord = chord_or_none(symbol)
        if chord is not None:
            triad = {(chord.root.pitch_class + one.pitch_class) % 12 for one in chord.degrees if one.number in TRIAD}
            if triad <= {round(note.midi) % 12 for note in own if note.midi is not None}:
                yield str(symbol)


def check(study: Study) -> None:
    assert list(torn_triads(study)) == []
    assert sum(device.main for device in study.devices) <= len(study.timeline.bars)


def test_lead_sheets_and_tunes() -> None:
    studies = [study_of(timeline) for timeline in lead_sheets()]
    assert [len(study.timeline.notes) for study in studies] == [131, 95, 102, 49]
    for study in studies:
        check(study)


@pytest.mark.parametrize("number", SUNG)
def test_chorales(number: int) -> None:
    check(study_of(chorale(number)))


def test_a_torn_triad_is_seen() -> None:
    (study,) = (study_of(timeline) for timeline in [next(lead_sheets())])
    triads = [one for one in study.devices if one.kind == "arpeggio" and one.data["shape"] == "triad"]
    assert any(list(whole_triads(study, one)) for one in triads)
