"""The hand beside what is not known yet: judged without it, and with all that follows from pitches on known strings."""

from __future__ import annotations

import pytest
from played import fingers, hand, positions

from tabtools.timeline import TimedNote


def test_pitches_on_known_strings_are_fretted_as_places_are() -> None:
    written = "bar 1\n1    3:5 3:7\n2    3:9 p7\n3    3:7b9 2:8\n4    b10 r8\n"
    pitches = "bar 1\n1    3:=C4 3:=D4\n2    3:=E4 p=D4\n3    3:=D4b=E4 2:=G4\n4    b=A4 r=G4\n"
    assert fingers(pitches) == fingers(written)
    assert positions(pitches) == positions(written)
    assert [(bent.note, bent.semitones, bent.bend) for bent in hand(pitches).bends] == [
        (bent.note, bent.semitones, bent.bend) for bent in hand(written).bends
    ]
    assert len(hand(written).bends) == 2


def test_a_finger_on_a_pitch_stays_while_the_note_sounds() -> None:
    held = hand("bar 1\n1    3:=C4[ring]\n2    2:8\n3-4  .\n")
    assert held.grasps[-1].presses == tuple(sorted(held.grasps[-1].presses, key=lambda press: press.string))
    assert [press.string for press in held.grasps[-1].presses] == [2, 3]


def test_notes_without_a_place_have_no_finger() -> None:
    assert fingers("bar 1\n1    3:5 =E4\n2    ? 3:?\n3-4  ?? 3:7\n") == "1----3"


def test_a_shift_goes_over_a_note_without_a_place() -> None:
    (shift,) = hand("bar 1  tempo 60\n1    3:2\n2    =E4\n3    3:14\n4    .\n").shifts
    assert (shift.from_position, shift.to_position, shift.seconds) == (2, 14, pytest.approx(2.0))


@pytest.mark.parametrize("counts", ["1?   3:2 3:14\n2-4  .", "1    3:2\n2-3? 3:3 3:14\n4    .", "1?   3:2\n2-4  3:14"])
def test_no_shift_has_a_time_under_a_doubtful_count(counts: str) -> None:
    assert hand(f"bar 1\n{counts}\n").shifts == ()


def test_the_fret_that_a_note_names() -> None:
    notes: tuple[TimedNote, ...] = hand(
        "bar 1\n1    3:7 b9\n2    r7 b=A4\n3    3:=D4 =D4\n4    3:x 4:<12>\n"
    ).timeline.notes
    assert [note.named for note in notes] == [7, 9, 7, 14, 7, None, None, None]
