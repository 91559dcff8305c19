"""The bytes of Standard MIDI Files, against the tables of the specification."""

from __future__ import annotations

import pytest
from exported import MADE, made, timeline
from hypothesis import given, settings
from sounded import read
from strategies import solos
from thoroughness import share

from tabtools.exchange import midi
from tabtools.exchange.smf import meter, midi_file, tempo, variable_length
from tabtools.model.solo import Solo
from tabtools.timeline import timeline_of


@pytest.mark.parametrize(
    ("number", "written"),
    [
        (0x00000000, "00"),
        (0x00000040, "40"),
        (0x0000007F, "7F"),
        (0x00000080, "81 00"),
        (0x00002000, "C0 00"),
        (0x00003FFF, "FF 7F"),
        (0x00004000, "81 80 00"),
        (0x00100000, "C0 80 00"),
        (0x001FFFFF, "FF FF 7F"),
        (0x00200000, "81 80 80 00"),
        (0x08000000, "C0 80 80 00"),
        (0x0FFFFFFF, "FF FF FF 7F"),
    ],
)
def test_variable_length_quantities(number: int, written: str) -> None:
    """The table of examples in Standard MIDI Files 1.0."""
    assert variable_length(number) == bytes.fromhex(written)


def test_tempo_and_time_signature() -> None:
    """Standard MIDI Files 1.0: 07 A1 20 is 120 a minute; 6/8 clicking dotted quarters is 06 03 24 08."""
    assert tempo(0, 500_000).data == bytes.fromhex("FF 51 03 07 A1 20")
    assert meter(0, 6, 8, 36).data == bytes.fromhex("FF 58 04 06 03 24 08")


def test_header_and_track_chunks() -> None:
    data = midi_file(96, [[tempo(0, 500_000)], []], 384)
    assert data == bytes.fromhex(
        "4D546864 00000006 0001 0002 0060"
        "4D54726B 0000000C 00FF510307A120 8300FF2F00"
        "4D54726B 00000005 8300FF2F00".replace(" ", "")
    )


@settings(max_examples=share(60))
@given(solos(with_comments=False))
def test_drafts_that_make_no_sense(solo: Solo) -> None:
    """Whatever is written: no note sounds twice at once, every note ends, the file lasts as long as the solo.

    A tempo is a whole number of microseconds: a bar of thousands of quarter notes can be half of one off in each.
    """
    made_of = timeline_of(solo)
    longest = max((float(bar.length) for bar in made_of.bars), default=0.0)
    assert read(midi(made_of)).length == pytest.approx(made_of.seconds, abs=max(0.002, 0.5e-6 * longest))


def test_the_same_solo_is_the_same_file() -> None:
    assert midi(made(MADE[0])) == midi(made(MADE[0]))


def test_text_is_text() -> None:
    title = "MTrk & 漢 <b>"
    assert title.encode() in midi(timeline(f"title: {title}\nmeter: 4/4\n\nbar 1\n1-4  3:5\n"))
