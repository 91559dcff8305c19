"""Standard MIDI Files 1.0 as bytes: chunks, delta times, events.

Source: The Complete MIDI 1.0 Detailed Specification and Standard MIDI Files 1.0 (MIDI Manufacturers Association).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

CENTRE = 8192
"""Of a pitch bend of 14 bits: none."""

_OFF, _ON, _CONTROL, _PROGRAM, _BEND = 0x80, 0x90, 0xB0, 0xC0, 0xE0
_TEXT, _COPYRIGHT, _NAME, _MARKER, _END, _TEMPO, _METER, _KEY = 0x01, 0x02, 0x03, 0x06, 0x2F, 0x51, 0x58, 0x59
_MOST_DELTA = 0x0FFFFFFF


class MidiEvent(NamedTuple):
    """An event at a tick. Of several at one tick those of the lowest `rank` come first: ends before beginnings."""

    tick: int
    rank: int
    data: bytes


def midi_file(division: int, tracks: Sequence[Iterable[MidiEvent]], length: int) -> bytes:
    """A file of format 1: `division` ticks a quarter note, all tracks `length` ticks long or more."""
    header = b"MThd" + (6).to_bytes(4) + (1).to_bytes(2) + len(tracks).to_bytes(2) + division.to_bytes(2)
    return header + b"".join(_track(track, length) for track in tracks)


def _track(events: Iterable[MidiEvent], length: int) -> bytes:
    body = bytearray()
    now = 0
    for event in sorted(events, key=lambda event: event[:2]):
        body += variable_length(event.tick - now) + event.data
        now = event.tick
    body += variable_length(max(0, length - now)) + _meta(_END, b"")
    return b"MTrk" + len(body).to_bytes(4) + bytes(body)


def variable_length(number: int) -> bytes:
    """Seven bits a byte, the highest first, all but the last with the top bit set."""
    number = min(number, _MOST_DELTA)
    found = [number & 0x7F]
    while number := number >> 7:
        found.append(0x80 | number & 0x7F)
    return bytes(reversed(found))


def _meta(kind: int, data: bytes) -> bytes:
    return bytes((0xFF, kind)) + variable_length(len(data)) + data


def off(tick: int, channel: int, key: int) -> MidiEvent:
    return MidiEvent(tick, 0, bytes((_OFF | channel, key, 64)))


def name(text: str) -> MidiEvent:
    """The name of a track; the first track's is the title."""
    return MidiEvent(0, 1, _meta(_NAME, text.encode()))


def copyright_notice(text: str) -> MidiEvent:
    return MidiEvent(0, 1, _meta(_COPYRIGHT, text.encode()))


def text(words: str) -> MidiEvent:
    return MidiEvent(0, 1, _meta(_TEXT, words.encode()))


def marker(tick: int, words: str) -> MidiEvent:
    return MidiEvent(tick, 1, _meta(_MARKER, words.encode()))


def tempo(tick: int, microseconds: int) -> MidiEvent:
    """Microseconds a quarter note, 1 to 2²⁴ − 1."""
    return MidiEvent(tick, 1, _meta(_TEMPO, microseconds.to_bytes(3)))


def meter(tick: int, numerator: int, denominator: int, clocks: int) -> MidiEvent:
    """A time signature; `clocks` (24 a quarter note) to a click, 1 to 255."""
    return MidiEvent(tick, 1, _meta(_METER, bytes((numerator, denominator.bit_length() - 1, clocks, 8))))


def key(sharps: int, is_minor: bool) -> MidiEvent:
    """A key signature: sharps, or flats below zero, at most 7."""
    return MidiEvent(0, 1, _meta(_KEY, sharps.to_bytes(1, signed=True) + bytes((is_minor,))))


def program(tick: int, channel: int, number: int) -> MidiEvent:
    """A program of General MIDI, counted from 1."""
    return MidiEvent(tick, 2, bytes((_PROGRAM | channel, number - 1)))


def control(tick: int, channel: int, number: int, value: int) -> MidiEvent:
    return MidiEvent(tick, 2, bytes((_CONTROL | channel, number, value)))


def parameter(channel: int, number: int, coarse: int, fine: int = 0) -> list[MidiEvent]:
    """A registered parameter (0 bend range, 1 fine tuning, 2 coarse tuning) set at the start, then let go of."""
    values = ((101, 0), (100, number), (6, coarse), (38, fine), (101, 127), (100, 127))
    return [control(0, channel, *value) for value in values]


def bend(tick: int, channel: int, value: int) -> MidiEvent:
    """A pitch bend of 14 bits."""
    return MidiEvent(tick, 3, bytes((_BEND | channel, value & 0x7F, value >> 7)))


def on(tick: int, channel: int, key_number: int, velocity: int) -> MidiEvent:
    return MidiEvent(tick, 4, bytes((_ON | channel, key_number, velocity)))
