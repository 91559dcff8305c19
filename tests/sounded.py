"""MIDI files as music21 reads them, and from its events what sounds: seconds, MIDI numbers, cents."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from typing import NamedTuple

from music21 import midi as music21_midi

OFF, ON, CONTROL, PROGRAM, BEND = 0x80, 0x90, 0xB0, 0xC0, 0xE0
TEMPO, METER, KEY, NAME, MARKER, TEXT, COPYRIGHT = 0x51, 0x58, 0x59, 0x03, 0x06, 0x01, 0x02


class Event(NamedTuple):
    """An event at a tick of a track; `data` are its two data bytes, or those of a meta event."""

    track: int
    tick: int
    kind: int
    channel: int
    data: tuple[int, int] | bytes


@dataclass
class Tone:
    """A note from on to off; `pitches` are (seconds, MIDI number), the first as it begins."""

    channel: int
    key: int
    velocity: int
    program: int
    start: float
    end: float = 0.0
    pitches: list[tuple[float, float]] = field(default_factory=list)

    def pitch_at(self, seconds: float) -> float:
        """The pitch at a moment while it sounds."""
        return self.pitches[max(0, bisect_right(self.pitches, (seconds, 999.0)) - 1)][1]


@dataclass
class File:
    """What a file holds."""

    format: int
    division: int
    events: list[Event]
    tempos: list[tuple[int, int]]
    ranges: dict[int, float]
    parameters: dict[tuple[int, int], tuple[int, int]]
    tones: list[Tone] = field(default_factory=list)

    def seconds(self, tick: int) -> float:
        """When a tick is, by the tempo map."""
        now, at, tempo = 0.0, 0, 500_000
        for start, following in self.tempos:
            if start >= tick:
                break
            now += (start - at) * tempo / self.division / 1e6
            at, tempo = start, following
        return now + (tick - at) * tempo / self.division / 1e6

    @property
    def length(self) -> float:
        return self.seconds(max(event.tick for event in self.events))

    def meta(self, kind: int) -> list[tuple[int, bytes]]:
        """(tick, data) of meta events."""
        return [(event.tick, event.data) for event in self.events if event.kind == kind]


def read(data: bytes) -> File:
    file = music21_midi.MidiFile()
    file.readstr(data)
    events = []
    for number, track in enumerate(file.tracks):
        tick = 0
        for event in track.events:
            if isinstance(event, music21_midi.DeltaTime):
                tick += event.time
            elif event.type.value < 0x80:
                events.append(Event(number, tick, event.type.value, 0, event.data or b""))
            else:
                pair = (event.parameter1, event.parameter2)
                events.append(Event(number, tick, event.type.value, event.channel - 1, pair))
    tempos = [(one.tick, int.from_bytes(one.data)) for one in events if one.kind == TEMPO]
    parameters = _parameters(events)
    ranges = {channel: value[0] for (channel, number), value in parameters.items() if number == 0}
    found = File(file.format, file.ticksPerQuarterNote, events, sorted(tempos), ranges, parameters)
    _sound(found)
    return found


def _parameters(events: list[Event]) -> dict[tuple[int, int], tuple[int, int]]:
    """(coarse, fine) of the registered parameters that are set, by channel and number."""
    chosen: dict[int, dict[int, int]] = {}
    found: dict[tuple[int, int], tuple[int, int]] = {}
    for event in events:
        if event.kind != CONTROL:
            continue
        number, value = event.data
        own = chosen.setdefault(event.channel, {})
        own[number] = value
        if number in (6, 38) and own.get(101) == 0 and own[100] != 127:
            before = found.get((event.channel, own[100]), (0, 0))
            found[event.channel, own[100]] = (value, before[1]) if number == 6 else (before[0], value)
    return found


def _sound(file: File) -> None:
    bends: dict[int, float] = {}
    programs: dict[int, int] = {}
    sounding: dict[tuple[int, int], Tone] = {}
    for event in file.events:
        seconds = file.seconds(event.tick)
        if event.kind == PROGRAM:
            programs[event.channel] = event.data[0] + 1
        elif event.kind == BEND:
            low, high = event.data
            bends[event.channel] = ((high << 7 | low) - 8192) / 8192 * file.ranges[event.channel]
            for (channel, key), tone in sounding.items():
                if channel == event.channel:
                    tone.pitches.append((seconds, key + bends[channel]))
        elif event.kind == ON:
            key, velocity = event.data
            assert (event.channel, key) not in sounding, "a note is struck while it sounds"
            tone = Tone(event.channel, key, velocity, programs[event.channel], seconds)
            tone.pitches.append((seconds, key + bends.get(event.channel, 0.0)))
            sounding[event.channel, key] = tone
            file.tones.append(tone)
        elif event.kind == OFF:
            sounding.pop((event.channel, event.data[0])).end = seconds
    assert not sounding, "every note ends"
