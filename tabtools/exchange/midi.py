"""A solo as a Standard MIDI File, as it is played: swing, bends and the pure pitch of harmonics included.

Format 1: the first track has title, tempo, meters and sections, each string a track and a channel of its own, the
highest string the first. Behind them stands what has a pitch and no string yet, on a track and channel for each that
sounds at once. Notes without a pitch and stretches that are not heard are silent: a file has no sign for them.

A note keeps the key it begins on; what its pitch does from there is pitch bend, whose range is set at the start of the
track. Vibrato is the modulation wheel, a swell is expression.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil, log2
from typing import NamedTuple

from tabtools.exchange import smf
from tabtools.exchange.clock import DIVISION, TempoMap
from tabtools.exchange.programs import Program, program_of
from tabtools.exchange.sections import sections_of
from tabtools.exchange.smf import CENTRE, MidiEvent
from tabtools.model.pitch import nearest_semitone
from tabtools.model.solo import Header
from tabtools.performance import Strike, Voice, voices_of
from tabtools.performance.curves import sampled
from tabtools.score.spelling import signature
from tabtools.timeline import Timeline

LEAST_RANGE, MOST_RANGE = 2, 24
"""Semitones of pitch bend: what a synthesiser starts with, and the most that leaves a third of a cent a step."""

PLUCKED_VELOCITY = 90
DEEPEST_CENTS = 50
"""How deep vibrato is either way with the wheel at its full (General MIDI 2)."""

SWELL_STEPS = 16
MODULATION, EXPRESSION, FULL = 1, 11, 127
BEND_RANGE, FINE_TUNING, COARSE_TUNING = 0, 1, 2
"""Controllers and registered parameters."""

OPEN_CHANNELS = range(10, 16)
"""For what has no string yet; channel 9, the tenth, is percussion in General MIDI."""

CONCERT_PITCH = 440.0
"""Hertz of A4, which a synthesiser starts with (ISO 16:1975)."""


def midi(timeline: Timeline) -> bytes:
    """The whole file."""
    clock = TempoMap(timeline)
    header = timeline.solo.header
    tracks: list[list[MidiEvent]] = [list(_conductor(timeline, clock))]
    voices = voices_of(timeline)
    for string in range(1, header.instrument.strings + 1):
        name = f"String {string}, {header.instrument.tuning.names[-string]}"
        own = [voice for voice in voices if voice.string == string]
        tracks.append(_StringTrack(string - 1, name, header, clock).events(own))
    together = _side_by_side([voice for voice in voices if not voice.string])
    for channel, own in zip(OPEN_CHANNELS[: len(together)], together, strict=True):
        tracks.append(_StringTrack(channel, "String not known yet", header, clock).events(own))
    return smf.midi_file(DIVISION, tracks, clock.end)


def _side_by_side(voices: Sequence[Voice]) -> list[list[Voice]]:
    """Voices that have a pitch, shared out so that those of one list follow each other; six lists at most."""
    found: list[list[Voice]] = []
    for voice in voices:
        if not voice.curve:
            continue
        free = [own for own in found if own[-1].end <= voice.start]
        if not free and len(found) < len(OPEN_CHANNELS):
            found.append([])
        own = free[0] if free else found[-1]
        own.append(voice)
    return found


def _conductor(timeline: Timeline, clock: TempoMap) -> Iterator[MidiEvent]:
    """Title, rights and names; then what holds for all strings: key, tempo, meter, sections."""
    header = timeline.solo.header
    yield smf.name(header.title)
    if header.rights:
        yield smf.copyright_notice(header.rights)
    for label, words in (("player", header.player), ("composer", header.composer), ("recording", header.recording)):
        if words:
            yield smf.text(f"{label}: {words}")
    if header.key is not None:
        sharps, mode = signature(header.key)
        if abs(sharps) <= 7:
            yield smf.key(sharps, is_minor=mode in ("minor", "aeolian", "dorian", "phrygian", "locrian"))
    sections = sections_of(timeline.solo)
    tempo = meter = None
    for own in clock.bars:
        if own.tempo != tempo:
            tempo = own.tempo
            yield smf.tempo(own.tick, tempo)
        wanted = _meter(own.quarters, own.bar.meter.denominator), own.bar.meter.beat
        if wanted != meter:
            meter = wanted
            (numerator, denominator), beat = wanted
            yield smf.meter(own.tick, numerator, denominator, min(max(1, round(24 * beat)), 255))
        for section in sections.pop(own.bar.number, ()):
            yield smf.marker(own.tick, " ".join(filter(None, (section.label, section.name))))


def _meter(quarters: Fraction, denominator: int) -> tuple[int, int]:
    """The time signature of a bar by what it holds: a pickup of a beat in 4/4 is a bar of 1/4."""
    numerator = quarters * denominator / 4
    while numerator > 255 and denominator > 1:
        numerator, denominator = numerator / 2, denominator // 2
    return min(ceil(numerator), 255), denominator


class _KeyNote(NamedTuple):
    """A note of a voice until the next one begins; `moves` are (seconds, pitch), the first as it begins."""

    strike: Strike
    end: float
    moves: list[tuple[float, float]]


class _StringTrack:
    """Writes the voices of one string to its channel; each note that begins in a voice is a note of its own."""

    def __init__(self, channel: int, name: str, header: Header, clock: TempoMap):
        self.channel = channel
        self.name = name
        self.program: Program = program_of(header.instrument)
        self.cents = 1200 * log2(header.instrument.reference / CONCERT_PITCH)
        self.clock = clock
        self.range = LEAST_RANGE

    def events(self, voices: Sequence[Voice]) -> list[MidiEvent]:
        """What sets the channel up, then each voice."""
        notes = [(voice, _notes_of(voice)) for voice in voices]
        furthest = max((_furthest(note) for _, own in notes for note in own), default=0)
        self.range = min(max(LEAST_RANGE, ceil(furthest)), MOST_RANGE)
        found = [smf.name(self.name), smf.program(0, self.channel, self.program.number)]
        found += smf.parameter(self.channel, BEND_RANGE, self.range)
        if self.cents:
            found += self._tuning()
        program = self.program.number
        for voice, own in notes:
            found += self._controls(voice)
            for note in own:
                strike = note.strike
                first, last, key = self.clock.tick(strike.moment), self.clock.tick(note.end), _key(strike)
                if last <= first or not 0 <= key <= 127:
                    continue
                wanted = self.program.muted if strike.is_damped else self.program.number
                if wanted != program:
                    program = wanted
                    found.append(smf.program(first, self.channel, program))
                found += self._bends(note)
                found.append(smf.on(first, self.channel, key, _velocity(strike)))
                found.append(smf.off(last, self.channel, key))
        return found

    def _tuning(self) -> list[MidiEvent]:
        """The recording's own A4: whole semitones and 14 bits of the rest, 100 cents either way."""
        semitones = round(self.cents / 100)
        fine = CENTRE + round((self.cents - 100 * semitones) / 100 * CENTRE)
        found = smf.parameter(self.channel, FINE_TUNING, fine >> 7, fine & 0x7F)
        if semitones:
            found += smf.parameter(self.channel, COARSE_TUNING, 64 + semitones)
        return found

    def _bends(self, note: _KeyNote) -> Iterator[MidiEvent]:
        value = None
        for seconds, pitch in note.moves:
            wanted = CENTRE + round((pitch - _key(note.strike)) / self.range * CENTRE)
            wanted = min(max(wanted, 0), 2 * CENTRE - 1)
            if wanted != value:
                value = wanted
                yield smf.bend(self.clock.tick(seconds), self.channel, value)

    def _controls(self, voice: Voice) -> Iterator[MidiEvent]:
        for start, end, cents in voice.vibrato:
            depth = min(FULL, round(cents / DEEPEST_CENTS * FULL))
            yield smf.control(self.clock.tick(start), self.channel, MODULATION, depth)
            yield smf.control(self.clock.tick(end), self.channel, MODULATION, 0)
        for start, end in voice.swells:
            for place in range(SWELL_STEPS + 1):
                moment = start + (end - start) * place / SWELL_STEPS
                level = round(FULL * place / SWELL_STEPS)
                yield smf.control(self.clock.tick(moment), self.channel, EXPRESSION, level)


def _key(strike: Strike) -> int:
    """The key a note is named by; where its string is not known there is none."""
    return -1 if strike.pitch is None else nearest_semitone(strike.pitch)


def _velocity(strike: Strike) -> int:
    return max(1, min(FULL, round(PLUCKED_VELOCITY * strike.level)))


def _notes_of(voice: Voice) -> list[_KeyNote]:
    """The notes that begin in a voice; of one without a pitch that moves, its key is its pitch."""
    samples = list(sampled(voice.curve))
    moments = [moment for moment, _ in samples]
    found = []
    for strike, end in voice.notes:
        first = bisect_right(moments, strike.moment)
        last = len(samples) if end == voice.end else bisect_left(moments, end)
        pitch = samples[first - 1][1] if first else float(_key(strike))
        found.append(_KeyNote(strike, end, [(strike.moment, pitch), *samples[first:last]]))
    return found


def _furthest(note: _KeyNote) -> float:
    """How far a note goes from its key, in semitones."""
    return max(abs(pitch - _key(note.strike)) for _, pitch in note.moves)
