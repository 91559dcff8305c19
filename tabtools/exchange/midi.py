"""A solo as a Standard MIDI File, as it is played: swing, bends and the pure pitch of harmonics included.

Format 1: the first track has title, tempo, meters and sections, each string a track and a channel of its own, the
highest string the first. A note keeps the key it begins on; what its pitch does from there is pitch bend, whose range
is set at the start of the track. Vibrato is the modulation wheel, a swell is expression.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil, log2

from tabtools.exchange import smf
from tabtools.exchange.clock import DIVISION, Clock
from tabtools.exchange.performance import Tone, performance
from tabtools.exchange.programs import Program, program_of
from tabtools.exchange.sections import sections_of
from tabtools.exchange.smf import CENTRE, Event
from tabtools.model.pitch import nearest_semitone
from tabtools.model.solo import Header
from tabtools.score.spelling import signature
from tabtools.timeline import Timeline

LEAST_RANGE, MOST_RANGE = 2, 24
"""Semitones of pitch bend: what a synthesiser starts with, and the most that leaves a third of a cent a step."""

STEP, SHORTEST_STEP = 0.05, 0.004
"""Semitones and seconds between the values of a moving bend."""

SWELL_STEPS = 16
MODULATION, EXPRESSION, FULL = 1, 11, 127
BEND_RANGE, FINE_TUNING, COARSE_TUNING = 0, 1, 2
"""Controllers and registered parameters."""

CONCERT_PITCH = 440.0
"""Hertz of A4, which a synthesiser starts with (ISO 16:1975)."""


def midi(timeline: Timeline) -> bytes:
    """The whole file."""
    clock = Clock(timeline)
    header = timeline.solo.header
    tracks: list[list[Event]] = [list(_conductor(timeline, clock))]
    for string, tones in performance(timeline).items():
        name = f"String {string}, {header.instrument.tuning.names[-string]}"
        tracks.append(_StringTrack(string - 1, name, header, clock).events(tones))
    return smf.midi_file(DIVISION, tracks, clock.end)


def _conductor(timeline: Timeline, clock: Clock) -> Iterator[Event]:
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


class _StringTrack:
    """Writes the tones of one string to its channel."""

    def __init__(self, channel: int, name: str, header: Header, clock: Clock):
        self.channel = channel
        self.name = name
        self.program: Program = program_of(header.instrument)
        self.cents = 1200 * log2(header.instrument.reference / CONCERT_PITCH)
        self.clock = clock
        self.range = LEAST_RANGE

    def events(self, tones: Sequence[Tone]) -> list[Event]:
        """What sets the channel up, then each tone."""
        furthest = max((abs(pitch - _key(tone)) for tone in tones for _, pitch in tone.curve), default=0)
        self.range = min(max(LEAST_RANGE, ceil(furthest)), MOST_RANGE)
        found = [smf.name(self.name), smf.program(0, self.channel, self.program.number)]
        found += smf.parameter(self.channel, BEND_RANGE, self.range)
        if self.cents:
            found += self._tuning()
        program = self.program.number
        for tone in tones:
            first, last = self.clock.tick(tone.start), self.clock.tick(tone.end)
            if last <= first or not 0 <= _key(tone) <= 127:
                continue
            wanted = self.program.muted if tone.is_muted else self.program.number
            if wanted != program:
                program = wanted
                found.append(smf.program(first, self.channel, program))
            found += self._controls(tone, last)
            found += self._bends(tone, last)
            found.append(smf.on(first, self.channel, _key(tone), tone.velocity))
            found.append(smf.off(last, self.channel, _key(tone)))
        return found

    def _tuning(self) -> list[Event]:
        """The recording's own A4: whole semitones and 14 bits of the rest, 100 cents either way."""
        semitones = round(self.cents / 100)
        fine = CENTRE + round((self.cents - 100 * semitones) / 100 * CENTRE)
        found = smf.parameter(self.channel, FINE_TUNING, fine >> 7, fine & 0x7F)
        if semitones:
            found += smf.parameter(self.channel, COARSE_TUNING, 64 + semitones)
        return found

    def _bends(self, tone: Tone, last: int) -> Iterator[Event]:
        value = None
        for seconds, pitch in _sampled(tone.curve):
            tick = self.clock.tick(seconds)
            wanted = CENTRE + round((pitch - _key(tone)) / self.range * CENTRE)
            wanted = min(max(wanted, 0), 2 * CENTRE - 1)
            if wanted != value and tick <= last:
                value = wanted
                yield smf.bend(tick, self.channel, value)

    def _controls(self, tone: Tone, last: int) -> Iterator[Event]:
        for start, end, depth in tone.vibrato:
            ends = min(self.clock.tick(end), last)
            yield smf.control(min(self.clock.tick(start), ends), self.channel, MODULATION, round(depth * FULL))
            yield smf.control(ends, self.channel, MODULATION, 0)
        if tone.swells_until is not None:
            for place in range(SWELL_STEPS + 1):
                moment = tone.start + (tone.swells_until - tone.start) * place / SWELL_STEPS
                level = round(FULL * place / SWELL_STEPS)
                yield smf.control(min(self.clock.tick(moment), last), self.channel, EXPRESSION, level)


def _key(tone: Tone) -> int:
    return nearest_semitone(tone.named)


def _sampled(curve: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Points of a curve, close enough to each other that the pitch glides."""
    yield curve[0]
    for (start, pitch), (end, reached) in pairwise(curve):
        steps = max(1, min(ceil(abs(reached - pitch) / STEP), int((end - start) / SHORTEST_STEP)))
        for place in range(1, steps + 1):
            share = place / steps
            yield start + (end - start) * share, pitch + (reached - pitch) * share
