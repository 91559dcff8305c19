"""The page about explanations: its figures are those the program reckons with, and its examples are what it says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from study_cases import solo_text, timeline_of_text

from tabtools.study import study_of, telling
from tabtools.study.devices import worth
from tabtools.study.devices.wording import in_words
from tabtools.study.explaining import costs

PAGE = (Path(__file__).parents[2] / "site_docs" / "explaining.md").read_text(encoding="utf-8")
ROWS = [[cell.strip() for cell in line.strip("|").split("|")] for line in PAGE.splitlines() if line.startswith("| ")]
FIGURES = {row[0]: float(row[1]) for row in ROWS if len(row) == 2 and row[0] != "what"}
RINGING = next(place for place, row in enumerate(ROWS) if row[0] == "played, ringing")
EXAMPLES = [
    (*row, place > RINGING)
    for place, row in enumerate(ROWS)
    if len(row) == 4 and row[0] not in ("notes", "played, ringing")
]

FIGURES_USED = {
    "a note that nothing explains": costs.LEFT_OUT,
    "the same, outside chord and scale": costs.LEFT_OUT_OUTSIDE,
    "each further note of a stroke": costs.LEFT_OUT_BESIDE,
    "saying that there is an arpeggio, that chords are swept": costs.NAMING["arpeggio"],
    "… a scale run": costs.NAMING["scale run"],
    "… double stops, octaves, power chords, a pedal note, a line of the bass, a pedal in the bass": (
        costs.NAMING["double stops"]
    ),
    "… a chromatic run, stacked fourths, a 1-2-3-5": costs.NAMING["chromatic run"],
    "… a repeated cell, a sequence, a triad pair, octave displacement, altered tones, an approach": (
        costs.NAMING["repeated cell"]
    ),
    "each note of an arpeggio, of an approach, of a line of altered tones, each double stop, octave, power chord": (
        costs.NOTE["arpeggio"]
    ),
    "… of a scale run, of stacked fourths, of a 1-2-3-5, of a triad pair, of octave displacement": (
        costs.NOTE["scale run"]
    ),
    "… an ostinato, a line that moves while the rest stays": costs.NAMING["moving line"],
    "… of a line that moves while the rest stays": costs.NOTE["moving line"],
    "… of a bass that walks": costs.NOTE["bass line"],
    "… of a bass that has the roots of the chords": costs.ROOT,
    "what the bass plays between the notes of its line": costs.BASS_BETWEEN,
    "… of a chromatic run": costs.NOTE["chromatic run"],
    "… of a figure, the first time (less where something else explains it)": costs.FIRST_TIME,
    "… of a figure that comes again, of a pedal note": costs.AGAIN,
    "how far a sequence moves, each time": costs.MOVED,
    "each leap to another octave in a line that goes on by step": costs.DISPLACED,
    "the chord that sounds; the scale of chord or key": costs.SOUNDING_CHORD,
    "upper tones of the chord that sounds": costs.TOP_OF_CHORD,
    "another chord within the scale of the moment": costs.OTHER_IN_SCALE,
    "a usual scale on another tone": costs.USUAL_SCALE,
    "a chord strange to the scale of the moment": costs.SUPERIMPOSED,
    "a rare scale": costs.RARE_SCALE,
    "a rare chord (augmented, minor with a major seventh) that does not sound, a ninth the symbol does not ask for": (
        costs.RARE_SHAPE
    ),
    "a passing note in a run": costs.EXCEPTION,
    "a bend that leads elsewhere, amid an arpeggio": costs.GOAL,
    "… where five thirds stand one on the other": costs.NINTH_STACKED,
    "a run that ends though the line goes on the same way by a step": costs.CUT_SHORT,
    "saying that a figure comes again later, and where it was": costs.RETURN,
    "at other pitches": costs.ANOTHER_PITCH,
    "an octave away": costs.AN_OCTAVE,
    "upside down": costs.TURNED_ROUND,
    "by the same steps of the key, but other intervals": costs.BY_STEPS,
    "a return that begins, there or here, within what was explained": costs.LOOSE_END,
    "beginning off the beat": costs.OFF_THE_BEAT,
    "beginning or ending inside a slur": costs.IN_A_SLUR,
    "beginning or ending inside a figure that comes again": costs.IN_A_CELL,
    "each turn but the first in an arpeggio of six notes or fewer": costs.TURN,
    "a pitch struck again at once within an arpeggio": costs.STRUCK_AGAIN,
    "a breath within an arpeggio, a leap of more than an octave": costs.BREATH,
    "an arpeggio that begins with a note that leans on a tone of the chord": costs.LEANT,
    "each change of chord within an arpeggio": costs.ACROSS_CHORDS,
    "one note off the beat before the chord it belongs to": costs.EARLY,
    "the first of its kind in the solo (the second has one less, the fourth two, the sixteenth none)": worth.FRESH,
    "an arpeggio that is another chord than the one that sounds": worth.ANOTHER_CHORD,
    "a tritone substitute": worth.SUBSTITUTE,
    "what comes again an octave away": worth.AN_OCTAVE,
    "the goal on top of a phrase": worth.ON_TOP,
    "unison bends one after another": worth.UNISON,
}


def test_the_figures_are_those_reckoned_with() -> None:
    assert FIGURES == FIGURES_USED


def test_figures_with_one_row_are_equal() -> None:
    for kinds in (
        ("double stops", "octaves", "power chords", "pedal note", "bass line", "bass pedal"),
        ("repeated cell", "sequence", "triad pair", "octave displacement", "altered line", "approach"),
        ("chromatic run", "stacked fourths", "root cell"),
        ("arpeggio", "swept chords"),
    ):
        assert len({costs.NAMING[kind] for kind in kinds}) == 1
    for kinds in (
        ("arpeggio", "approach", "altered line", "double stops", "octaves", "power chords"),
        ("scale run", "stacked fourths", "root cell", "triad pair", "octave displacement"),
    ):
        assert len({costs.NOTE[kind] for kind in kinds}) == 1
    assert costs.SOUNDING_CHORD == costs.OWN_SCALE
    assert costs.RARE_SHAPE == costs.NINTH
    assert costs.FAR_LEAP == costs.BREATH


def test_what_the_text_says_of_joining_and_telling() -> None:
    joined, told = re.search(r"ends with saves ([\d.]+)\. What saves less than ([\d.]+) bits", PAGE).groups()
    assert (float(joined), float(told)) == (costs.JOINED, costs.WORTH_TELLING)


def test_what_the_text_says_of_what_is_told_first() -> None:
    enough, fewest = re.search(r"Told first is what is worth (\d+)\nbits, (\w+) statements in any case", PAGE).groups()
    assert (float(enough), fewest) == (telling.ENOUGH, in_words(telling.FEWEST))


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row[0])
def test_an_example_is_what_is_said(row: tuple[str, str, str, str, bool]) -> None:
    notes, key, chords, said, rings = row
    pitches = notes.strip("`").split()
    line = " ".join([*pitches, *["-"] * (8 - len(pitches)), *["[ring]"] * rings])
    devices = study_of(
        timeline_of_text(solo_text([f"key: {key}"], [f"bar 1  {chords.strip('`')}", f"1-4  {line}"]))
    ).devices
    main = [device.sentence for device in devices if device.main]
    assert main[:1] == ([] if said == "nothing" else [said])
