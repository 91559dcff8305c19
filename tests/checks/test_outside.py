"""Checks against figures we did not write; tests/outside/README.md names the sources."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Iterator
from fractions import Fraction
from math import lcm
from pathlib import Path

import pytest
from linted import Found, find

from tabtools.model.instrument import STANDARD, Instrument
from tabtools.model.pitch import pitch_name
from tabtools.problem import Severity

OUTSIDE = Path(__file__).parents[1] / "outside"
HEADER = "title: A\nplayer: B\nrights: CC0-1.0\n"
ABOUT_NOTES = {"heard-pitch", "fret-range", "string-number", "two-notes-one-string", "bar-duration", "tuning"}
MOST_WEIGHT = 64


def figures(name: str) -> dict[str, list[dict]]:
    return json.loads((OUTSIDE / name).read_text(encoding="utf-8"))


def voicings() -> Iterator[list[tuple[int, int, int]]]:
    """(string, fret, MIDI number) of the notes of each chord voicing of chords-db."""
    for voicing in figures("chord_voicings.json")["voicings"]:
        played = [(6 - place, fret) for place, fret in enumerate(voicing["frets"]) if fret >= 0]
        frets = [fret + voicing["baseFret"] - 1 if fret else 0 for _, fret in played]
        yield [(string, fret, midi) for (string, _), fret, midi in zip(played, frets, voicing["midi"], strict=True)]


def solo_of(strokes: list[str]) -> str:
    bars = [f"bar {number}\n1-4  {stroke}\n" for number, stroke in enumerate(strokes, 1)]
    return f"{HEADER}frets: 24\nmeter: 4/4\n\n" + "\n".join(bars)


def about_notes(text: str) -> list[Found]:
    return find(text, ABOUT_NOTES)


def test_every_chord_voicing_sounds_as_chords_db_says() -> None:
    strokes = ["+".join(f"{string}:{fret}={pitch_name(midi)}" for string, fret, midi in notes) for notes in voicings()]
    assert len(strokes) == 2069
    assert [str(one) for one in about_notes(solo_of(strokes))] == []


def test_a_pitch_changed_in_a_chord_voicing_is_found_and_the_advice_is_right() -> None:
    """One note of each voicing heard a few semitones off: each is found, and each place proposed has that pitch."""
    rng = random.Random(1)
    strokes, wrong = [], []
    for notes in voicings():
        off = rng.randrange(len(notes))
        wrong.append(notes[off][2] + rng.choice((-3, -2, -1, 1, 2, 3)))
        heard = [wrong[-1] if position == off else midi for position, (_, _, midi) in enumerate(notes)]
        pairs = zip(notes, heard, strict=True)
        strokes.append("+".join(f"{string}:{fret}={pitch_name(midi)}" for (string, fret, _), midi in pairs))
    found = about_notes(solo_of(strokes))
    assert [one.problem.check for one in found] == ["heard-pitch"] * len(strokes)
    instrument = Instrument(STANDARD, frets=24)
    proposed = 0
    for one, midi in zip(found, wrong, strict=True):
        for string, fret in re.findall(r"\b(\d):(\d+)", one.problem.advice.partition(" would be")[0]):
            proposed += 1
            assert instrument.midi(int(string), int(fret)) == midi
    assert proposed > len(strokes) / 2


TUNED_STAVES = [staff for staff in figures("tab_staff.json")["staves"] if staff["tuning_midi"]]


@pytest.mark.parametrize("staff", TUNED_STAVES, ids=lambda staff: f"{staff['file']} {staff['part']}")
def test_tunings_of_tab_staves_are_no_fault(staff: dict) -> None:
    names = " ".join(pitch_name(midi) for midi in reversed(staff["tuning_midi"]))
    text = f"{HEADER}meter: 4/4\ntuning: {names}\n\nbar 1  C\n1-4  1:0\n"
    assert [str(one) for one in find(text, {"tuning"}) if one.problem.severity == Severity.ERROR] == []


def measures() -> Iterator[tuple[dict, str]]:
    """The measures of the MusicXML suite that fit one beat line, and that line."""
    for measure in figures("bar_sums.json")["measures"]:
        if not re.fullmatch(r"\d+/\d+", measure["meter"] or "") or not measure["events"]:
            continue
        beat = Fraction(4, int(measure["meter"].partition("/")[2]))
        events = sorted((Fraction(onset), Fraction(length), notes) for onset, length, notes, *_ in measure["events"])
        line = _line(events, beat)
        if line:
            yield measure, line


def _line(events: list[tuple[Fraction, Fraction, int]], beat: Fraction) -> str:
    """The events of a measure as one beat line; empty where they overlap, end within a count or divide too finely."""
    lengths, end = [], Fraction(0)
    for onset, length, _ in events:
        if onset != end or not length:
            return ""
        lengths.append(length / beat)
        end += length
    if (end / beat).denominator != 1:
        return ""
    unit = lcm(*(length.denominator for length in lengths))
    weights = [int(length * unit) for length in lengths]
    if max(weights) > MOST_WEIGHT or any(notes > 6 for *_, notes in events):
        return ""
    strokes = ["+".join(f"{string}:1" for string in range(1, notes + 1)) or "." for *_, notes in events]
    slots = " ".join(f"{stroke}*{weight}" for stroke, weight in zip(strokes, weights, strict=True))
    return f"1-{end / beat}  {slots}"


def test_bars_that_fill_their_meter_pass_and_the_others_are_found() -> None:
    """The sums are those of the MusicXML suite as music21 reads them; some bars are short or overfull on purpose."""
    chosen = list(measures())
    text = HEADER + "meter: 4/4\n\n"
    for number, (measure, line) in enumerate(chosen, 1):
        text += f"bar {number}  meter {measure['meter']}\n{line}\n"
    found = {one.problem.address.partition(".")[0] for one in find(text, {"bar-duration"})}
    odd = {str(number) for number, (one, _) in enumerate(chosen, 1) if Fraction(one["sum"]) != Fraction(one["bar"])}
    assert found == odd
    assert len(chosen) > 300
    assert len(odd) > 10
