"""Pitch of string and fret against figures we did not write; see tests/outside/README.md for the sources."""

from __future__ import annotations

import json
from pathlib import Path

from tabtools.model.pitch import FLAT_NAMES, parse_pitch
from tabtools.notation.build import read_solo
from tabtools.source import from_text
from tabtools.timeline import Timeline, timeline_of

OUTSIDE = Path(__file__).parents[1] / "outside"


def outside(name: str) -> dict:
    return json.loads((OUTSIDE / name).read_text(encoding="utf-8"))


def played(text: str) -> Timeline:
    reading = read_solo(from_text(text))
    assert reading.problems == ()
    return timeline_of(reading.solo)


def name_of(midi: int) -> str:
    return f"{FLAT_NAMES[midi % 12]}{midi // 12 - 1}"


def test_all_chord_voicings_sound_as_their_source_says() -> None:
    """Every voicing of chords-db 0.5.1, a bar each: `midi` is tuning plus fret."""
    data = outside("chord_voicings.json")
    bars = []
    for number, voicing in enumerate(data["voicings"], 1):
        frets = [fret + voicing["baseFret"] - 1 if fret > 0 else fret for fret in voicing["frets"]]
        places = [f"{6 - index}:{fret}" for index, fret in enumerate(frets) if fret >= 0]
        bars.append(f"bar {number}\n1-4  {'+'.join(places)}\n")
    timeline = played(f"tuning: {' '.join(data['head']['tuning'])}\n{''.join(bars)}")
    sounding: dict[int, list[float | None]] = {}
    for note in timeline.notes:
        sounding.setdefault(note.address.bar, []).append(note.midi)
    assert len(bars) == 2069
    assert [sounding[number] for number in range(1, 2070)] == [voicing["midi"] for voicing in data["voicings"]]


def test_the_tuning_of_the_voicings_is_ours_by_name() -> None:
    names = outside("chord_voicings.json")["head"]["tuning"]
    assert played("").solo.header.instrument.tuning.midi == tuple(parse_pitch(name) for name in names)


def test_tab_staves_sound_as_their_notes_are_written() -> None:
    """The tab staves of the MusicXML test files that come with music21: eight tunings, 65 notes with a pitch."""
    data = outside("tab_staff.json")
    tunings = {(staff["file"], staff["part"]): staff["tuning_midi"] for staff in data["staves"] if staff["tuning_midi"]}
    checked = 0
    for staff, tuning in tunings.items():
        notes = [note for note in data["notes"] if (note["file"], note["part"]) == staff]
        lines = "".join(f"bar {number}\n1-4  {note['string']}:{note['fret']}\n" for number, note in enumerate(notes, 1))
        timeline = played(f"tuning: {' '.join(name_of(midi) for midi in reversed(tuning))}\n{lines}")
        assert [note.midi for note in timeline.notes] == [note["midi"] for note in notes], staff
        checked += len(notes)
    assert len(tunings) == 8
    assert checked == 65
