"""Other places for the same pitches: they sound the same, and a hand can play them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from played import Spot

from tabtools.hand.grip import Stop
from tabtools.hand.moves import Moves
from tabtools.hand.neck import Neck, neck_of
from tabtools.hand.places import chord_elsewhere, line_in_position, slur_elsewhere, spots_of
from tabtools.hand.profile import DEFAULT_PROFILE
from tabtools.model.instrument import STANDARD_INSTRUMENT, Instrument, tuning_of

MOVES = Moves(neck_of(STANDARD_INSTRUMENT), DEFAULT_PROFILE)
CHORDS = st.lists(st.integers(1, 6), min_size=1, max_size=5, unique=True).flatmap(
    lambda strings: st.tuples(*(st.tuples(st.just(string), st.integers(0, 20)) for string in strings))
)


def sounding(spots: tuple[Spot, ...]) -> list[float]:
    return [STANDARD_INSTRUMENT.midi(*spot) for spot in spots]


def test_every_place_of_a_pitch() -> None:
    """Common practice: the fifth fret of a string is the next open one, the fourth on the third string."""
    assert spots_of(64, STANDARD_INSTRUMENT, 22) == [(1, 0), (2, 5), (3, 9), (4, 14), (5, 19)]


@given(CHORDS)
def test_chords_elsewhere_sound_the_same_and_can_be_held(spots: tuple[Spot, ...]) -> None:
    found = chord_elsewhere(spots, STANDARD_INSTRUMENT, MOVES)
    if found is None:
        return
    assert sounding(found.spots) == sounding(spots)
    assert found.spots != spots
    assert len({string for string, _ in found.spots}) == len(spots)
    stops = tuple(Stop(*spot) for spot in sorted(found.spots) if spot[1])
    if stops:
        shape = MOVES.shape(stops, tuple(string for string, fret in sorted(found.spots) if not fret))
        assert shape.needed <= 4
        assert min(grip.strain for grip in shape.grips) <= 0.5


def test_five_frets_lie_closer_elsewhere() -> None:
    found = chord_elsewhere([(6, 5), (5, 6), (4, 7), (3, 8), (2, 9)], STANDARD_INSTRUMENT, MOVES)
    assert found is not None
    assert found.reach_mm < 100


def test_a_low_chord_has_no_other_place() -> None:
    assert chord_elsewhere([(6, 1), (5, 0)], STANDARD_INSTRUMENT, MOVES) is None


@given(st.integers(1, 6), st.integers(0, 15), st.integers(1, 7))
def test_slurs_elsewhere_stay_on_one_string(string: int, fret: int, step: int) -> None:
    neck = Neck()
    found = slur_elsewhere(string, (fret, fret + step), STANDARD_INSTRUMENT, neck, DEFAULT_PROFILE)
    if found is not None:
        assert len({one for one, _ in found.spots}) == 1
        assert found.spots[0][0] != string
        assert sounding(found.spots) == sounding(((string, fret), (string, fret + step)))
        assert found.reach_mm <= DEFAULT_PROFILE.reach[1, 4].warning


@given(st.lists(st.tuples(st.integers(1, 6), st.integers(0, 20)), min_size=1, max_size=4), st.integers(1, 15))
def test_lines_in_a_position_keep_to_it(spots: list[Spot], position: int) -> None:
    found = line_in_position(spots, position, STANDARD_INSTRUMENT, Neck())
    if found is not None:
        assert sounding(found) == sounding(tuple(spots))
        assert all(not fret or position <= fret <= position + 3 for _, fret in found)


@pytest.mark.parametrize("tuning", ["D2 A2 D3 G3 A3 D4", "B0 E1 A1 D2 G2", "F#1 B1 E2 A2 D3 G3 B3 E4 A4"])
def test_other_tunings_and_capos(tuning: str) -> None:
    instrument = Instrument(tuning=tuning_of(tuning), capo=2)
    midi = instrument.open_midi(1) + 3
    assert all(instrument.midi(*spot) == midi for spot in spots_of(midi, instrument, 20))
    assert spots_of(midi, instrument, 20)[0] == (1, 3)


def test_looking_for_nine_notes_ends() -> None:
    """Their places alone could be combined in millions of ways."""
    instrument = Instrument(tuning=tuning_of("C#1 F#1 B1 E2 A2 D3 G3 B3 E4"), frets=36)
    moves = Moves(neck_of(instrument), DEFAULT_PROFILE)
    assert chord_elsewhere([(string, 20 - string) for string in range(1, 10)], instrument, moves) is None
