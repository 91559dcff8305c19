"""All places of one stroke, and what is hard about each."""

from __future__ import annotations

import pytest

from tabtools.notation.build import read_solo
from tabtools.placing.candidates import Candidate, candidates
from tabtools.placing.placed import place
from tabtools.placing.proposal import hand_for
from tabtools.source import from_text
from tabtools.timeline import timeline_of
from tabtools.timeline.places import notes_at, range_named


def listed(bars: str, at: str, header: str = "") -> list[Candidate]:
    timeline = timeline_of(read_solo(from_text(f"meter: 4/4\n{header}\n{bars}")).solo)
    stretch = range_named(at)
    assert stretch is not None
    return candidates(timeline, notes_at(timeline, stretch)).places


def faults(found: list[Candidate]) -> dict[str, tuple[str, ...]]:
    return {"+".join(f"{string}:{fret}" for string, fret in one.spots): one.faults for one in found}


def test_every_place_of_a_pitch_the_nearest_to_the_hand_first() -> None:
    found = listed("bar 1\n1  3:5 =D4 3:5 2:5\n", "1.1.2")
    assert found[0].spots == ((3, 7),)
    assert sorted(one.spots[0] for one in found) == [(2, 3), (3, 7), (4, 12), (5, 17), (6, 22)]
    assert [one.finger for one in found[0].fingered] == ["3"]
    assert found[0].shift is None


def test_a_chord_up_the_neck_is_gripped_before_it_has_open_strings() -> None:
    found = listed("bar 1  G7\n1-2  5:5+4:7+3:5+2:6\n3-4  =G3+=D4+=F4+=B4\n", "1.3.1", "tempo: 90")
    is_open = [0 in dict(one.spots).values() for one in found if not one.faults]
    assert is_open == sorted(is_open)
    assert any(is_open)


LINE = "bar 1\n1  =C5 =Eb5\n2  =F5 =Eb5\n3  =C5 =Bb4\n4  =Ab4 =G4\n"


def test_the_first_note_has_nothing_before_it() -> None:
    first = listed(LINE, "1.1.1")
    assert {one.before for one in first} == {None}
    assert len({one.after for one in first}) == 1


@pytest.mark.parametrize("at", ["1.1.2", "1.2.1", "1.3.1", "1.4.1"])
@pytest.mark.parametrize("is_placed", [False, True])
def test_every_place_is_reckoned_from_the_same_hand_as_the_whole(at: str, is_placed: bool) -> None:
    bars = "bar 1\n1  1:8 1:11\n2  1:13 1:11\n3  1:8 2:11\n4  2:9 2:8\n" if is_placed else LINE
    timeline = timeline_of(read_solo(from_text(f"meter: 4/4\n{bars}")).solo)
    hand = hand_for(place(timeline))
    stretch = range_named(at)
    assert stretch is not None
    (note,) = notes_at(timeline, stretch)
    found = candidates(timeline, (note,)).places
    assert len({one.before for one in found}) == 1 or is_placed
    assert found[0].fingered == (hand.notes[note.index],)
    assert found[0].before == hand.notes[note.index - 1].position
    assert found[0].after == hand.notes[note.index + 1].position


def test_a_placed_note_elsewhere_leaves_the_hand_where_it_is_best() -> None:
    """D5 in XII brings B4 after it under the first finger; at the first string the hand stays in IX."""
    bars = "bar 1\n1  3:10 2:9 2:12\n2  1:11 -\n3  2:15 2:12\n4  2:9 3:10\n"
    places = {one.spots[0]: one for one in listed(bars, "1.3.1", "tempo: 92")}
    assert (places[1, 10].before, places[1, 10].fingered[0].position, places[1, 10].after) == (9, 9, 9)
    assert places[2, 15].before == 9
    assert places[2, 15].fingered[0].finger == "4"


def test_a_slide_takes_the_hand_along() -> None:
    (near, *_) = listed("bar 1\n1  2:9 1:8\n2  1:11 /=F5\n3  1:11 -\n4  1:9 2:9\n", "1.2.2", "tempo: 92")
    assert near.before is not None
    assert near.fingered[0].position == near.before + 2


def test_a_shift_is_told() -> None:
    (far,) = (one for one in listed("bar 1\n1  3:5 2:5 =D4 3:5\n", "1.1.3") if one.spots == ((5, 17),))
    assert far.shift is not None
    assert far.shift.from_position < 10 < far.shift.to_position


@pytest.mark.parametrize(
    ("bars", "at", "place", "said"),
    [
        ("bar 1\n1  3:5 h7\n", "1.1.2", "2:3", "it goes on from the note before, which is not on this string"),
        ("bar 1\n1  =D4 p5\n", "1.1.1", "2:3", ""),
        ("bar 1\n1  3:7 p5\n", "1.1.1", "2:3", "the next note goes on from it and is not on this string"),
        ("bar 1\n1  =D4b=E4\n", "1.1.1", "4:12", "the bend is on a wound string"),
        ("bar 1\n1  =F4b=A4\n", "1.1.1", "1:1", "a hard bend so near the nut"),
        ("bar 1\n1  =D4p=A3\n", "1.1.1", "2:3", "what it moves to is off the neck there"),
        ("bar 1  tempo 240\n1  3:5 2:5 =D4 3:5 2:5 3:5\n", "1.1.3", "6:22", "the hand has no time to get there"),
        ("bar 1\n1  6:1+=B2+=F3\n", "1.1.1", "6:1+5:2+4:3", ""),
    ],
)
def test_what_is_hard_or_impossible(bars: str, at: str, place: str, said: str) -> None:
    words = faults(listed(bars, at))[place]
    assert any(word.startswith(said) for word in words) if said else words == ()


def test_a_reach_is_told_in_frets() -> None:
    words = faults(listed("bar 1\n1  6:1+=D3\n", "1.1.1"))
    assert words["6:1+5:5"] == ("a wide stretch: 4 frets between fingers 1 and 4",)
    assert "6:1+4:0" in words


@pytest.mark.parametrize("note", ["?", "??", "3:x", "3:<12>"])
def test_what_has_no_pitch_of_a_fret_has_no_other_place(note: str) -> None:
    assert listed(f"bar 1\n1  3:5 {note}\n", "1.1.2") == []


def test_no_open_string_is_bent() -> None:
    inside = {one.spots[0]: one.faults for one in listed("bar 1\n1  =E4b=F4\n", "1.1.1")}
    assert inside[1, 0] == ("an open string has no finger to bend it",)
    assert inside[2, 5] == ()
    assert (1, 0) not in [one.start for one in listed("bar 1\n1  2:5 b=F4\n", "1.1.2")]


@pytest.mark.parametrize(("address", "bent"), [("1.1.1", 0), ("1.1.2", 2), ("1.1.3", 0)])
def test_the_finger_of_a_bend_that_is_open_stands_on_the_neck(address: str, bent: int) -> None:
    """D5 has no fourth string on a neck of 22 frets, though a bend can sound there from below."""
    found = listed("bar 1\n1  =D5 b=E5 r=D5\n", address)
    assert sorted(one.start or one.spots[0] for one in found) == [(1, 10), (2, 15), (3, 19)]
    assert {(one.spots[0][0], one.spots[0][1] - bent) for one in found} == {(1, 10), (2, 15), (3, 19)}


def test_a_finger_stretched_out_of_the_position_is_told_from_one_that_lies_in_it() -> None:
    places = {one.spots[0]: one for one in listed("bar 1\n1  3:9[lh 1]\n2  =B3 3:9[lh 1]\n", "1.2.1", "tempo: 92")}
    assert [(places[spot].fingered[0].position, places[spot].stretch) for spot in ((4, 9), (5, 14))] == [(9, 0), (9, 2)]
