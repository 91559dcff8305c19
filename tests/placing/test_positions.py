"""Scales come out in the boxes that the trade teaches when their position is asked for (common practice)."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from tabtools.model.instrument import STANDARD_INSTRUMENT
from tabtools.model.pitch import pitch_name
from tabtools.notation.build import read_solo
from tabtools.placing.placed import place, with_places
from tabtools.placing.wish import Wish
from tabtools.source import from_text
from tabtools.timeline import timeline_of

BOXES = """\
A minor pentatonic, first box   5   5 8 | 5 7 | 5 7 | 5 7 | 5 8 | 5 8
A minor pentatonic, second box  7   8 10 | 7 10 | 7 10 | 7 9 | 8 10 | 8 10
A minor pentatonic, third box   9   10 12 | 10 12 | 10 12 | 9 12 | 10 13 | 10 12
A minor pentatonic, fourth box  12  12 15 | 12 15 | 12 14 | 12 14 | 13 15 | 12 15
A minor pentatonic, fifth box   2   3 5 | 3 5 | 2 5 | 2 5 | 3 5 | 3 5
A blues scale                   5   5 8 | 5 6 7 | 5 7 | 5 7 8 | 5 8 | 5 8
C major, second position        2   3 5 | 2 3 5 | 2 3 5 | 2 4 5 | 3 5 6 | 3 5
C major, fourth position        4   5 7 8 | 5 7 8 | 5 7 | 4 5 7 | 5 6 8 | 5 7 8
C major, fifth position         5   5 7 8 | 5 7 8 | 5 7 9 | 5 7 | 5 6 8 | 5 7 8
C major, seventh position       7   8 10 | 7 8 10 | 7 9 10 | 7 9 10 | 8 10 | 7 8 10
C major, ninth position         9   10 12 13 | 10 12 | 9 10 12 | 9 10 12 | 10 12 13 | 10 12 13
C major, twelfth position       12  12 13 15 | 12 14 15 | 12 14 15 | 12 14 | 12 13 15 | 12 13 15
"""
THREE_A_STRING = """\
G major, slurred                3   3 5 7 | 3 5 7 | 4 5 7 | 4 5 7 | 5 7 8 | 5 7 8
C major, slurred                8   8 10 12 | 8 10 12 | 9 10 12 | 9 10 12 | 10 12 13 | 10 12 13
A dorian, slurred               5   5 7 8 | 5 7 9 | 5 7 9 | 5 7 9 | 7 8 10 | 7 8 10
F# phrygian, slurred            2   2 3 5 | 2 3 5 | 2 4 5 | 2 4 5 | 3 5 7 | 3 5 7
"""
"""Name, position, and the frets of each string, the lowest first."""


def rows(table: str) -> list[tuple[str, int, list[list[int]]]]:
    return [
        (row[:32].strip(), int(row[32:35]), [[int(fret) for fret in part.split()] for part in row[35:].split("|")])
        for row in table.splitlines()
    ]


def notes(box: list[list[int]]) -> list[tuple[int, int]]:
    """The places of a box from the lowest note up."""
    return [(6 - index, fret) for index, frets in enumerate(box) for fret in frets]


def found(spots: Sequence[tuple[int, int]], position: int, per_beat: int, slurred: bool) -> list[tuple[int, int]]:
    """Where the pitches of these places are put when the position is asked for, one after the other."""
    written = [
        ("h" if slurred and number % per_beat else "") + "=" + pitch_name(STANDARD_INSTRUMENT.open_midi(string) + fret)
        for number, (string, fret) in enumerate(spots)
    ]
    beats = [written[start : start + per_beat] for start in range(0, len(written), per_beat)]
    bars = [beats[start : start + 4] for start in range(0, len(beats), 4)]
    text = "\n".join(
        "\n".join([f"bar {number}", *(f"{count}  {' '.join(beat)}" for count, beat in enumerate(bar, 1)), ""])
        for number, bar in enumerate(bars, 1)
    )
    timeline = timeline_of(read_solo(from_text(f"meter: 4/4\n\n{text}")).solo)
    placement = place(timeline, Wish(position=position))
    placed = timeline_of(with_places(timeline.solo, placement.placed)).notes
    return [(note.string, int(note.fret or 0)) for note in placed]


@pytest.mark.parametrize(("name", "position", "box"), rows(BOXES), ids=[name for name, _, _ in rows(BOXES)])
@pytest.mark.parametrize("down", [False, True], ids=["up", "down"])
def test_box(name: str, position: int, box: list[list[int]], down: bool) -> None:
    spots = notes(box)[::-1] if down else notes(box)
    assert found(spots, position, 4, slurred=False) == spots


@pytest.mark.parametrize(
    ("name", "position", "box"), rows(THREE_A_STRING), ids=[name for name, _, _ in rows(THREE_A_STRING)]
)
def test_three_notes_a_string(name: str, position: int, box: list[list[int]]) -> None:
    assert found(notes(box), position, 3, slurred=True) == notes(box)
