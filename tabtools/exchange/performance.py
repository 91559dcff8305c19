"""A timeline as it is played: tones on each string with their pitch as it moves, in seconds.

What has no written length is as long as players make it (common practice): bends that stand in one slot, slides,
grace notes, trills, tremolo, rolls. A tone ends where its note ends on the timeline; what goes on through a hammer-on,
a pull-off or a slide is a new tone, softer, since its pitch is another. A pitch that moves on one fret is one tone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from tabtools.model.solo import PITCH_MOVES
from tabtools.source import is_number
from tabtools.timeline import TimedBar, TimedNote, Timeline

LONGEST_BEND, LONGEST_SLIDE, GRACE = 0.16, 0.12, 0.07
SLIDE_OUT, SLIDE_OUT_FRETS, SLIDE_IN_FRETS = 0.15, 4, 2
ROLL, TRILL, TREMOLO, MOST_REPEATS = 0.03, 0.09, 0.085, 200
SWELL, VIBRATO_DELAY, DEAD_LENGTH = 0.6, 0.15, 0.05
"""Seconds and frets."""

PLUCKED, ACCENT, GHOST, DEAD = 90, 1.3, 0.5, 50
LEGATO = {"h": 0.7, "p": 0.75, "t": 0.8, "/": 0.6, "\\": 0.6}
"""Velocity of a plucked note, and what it is multiplied by."""

VIBRATO = {"~": 0.5, "~~": 1.0}
"""How deep, of the deepest."""


@dataclass(slots=True)
class Tone:
    """One tone of a string. `curve` has (seconds, MIDI number) points that lines join, the first at `start`.

    `named` is the pitch it is called by: where it starts, but for a slide from nowhere where that arrives.
    `vibrato` is (start, end, depth of 1), `swells_until` when a swell is at its full.
    """

    start: float
    end: float
    velocity: int
    named: float
    curve: list[tuple[float, float]]
    is_muted: bool = False
    vibrato: list[tuple[float, float, float]] = field(default_factory=list)
    swells_until: float | None = None

    @property
    def pitch(self) -> float:
        """As it is now, at the end of the curve."""
        return self.curve[-1][1]

    def move(self, start: float, end: float, pitch: float) -> None:
        """Stay until `start`, then be at `pitch` at `end`; never before what was there already."""
        since = self.curve[-1][0]
        self.curve.append((max(start, since), self.pitch))
        self.curve.append((max(end, since), pitch))

    def arrive(self, moment: float, pitch: float, longest: float) -> None:
        """Be at `pitch` at `moment`, on the way for at most half of the time since the last move."""
        room = max(0.0, moment - self.curve[-1][0])
        self.move(moment - min(longest, room / 2), moment, pitch)


def performance(timeline: Timeline) -> dict[int, list[Tone]]:
    """The tones of each string of the instrument (1 is the highest), in order of time."""
    player = _Player(timeline)
    delays = _rolled(timeline.notes)
    for index, note in enumerate(timeline.notes):
        if note.string in player.tones and (note.path or note.note.dead):
            player.play(index, note, delays.get(index, 0.0))
    return {string: sorted(tones, key=lambda tone: tone.start) for string, tones in player.tones.items()}


class _Player:
    """Plays notes one by one."""

    def __init__(self, timeline: Timeline):
        self.instrument = timeline.solo.header.instrument
        self.bars = {bar.onset: bar for bar in timeline.bars}
        self.tones: dict[int, list[Tone]] = {string: [] for string in range(1, self.instrument.strings + 1)}
        self.sounding: dict[int, Tone] = {}

    def play(self, index: int, note: TimedNote, delay: float) -> None:
        words = {mark.word: mark.argument for mark in note.marks}
        start = note.start + delay
        end = max(note.end, start)
        if "stacc" in words:
            end = (start + end) / 2
        room = min(_slot_seconds(note, self.bars[note.begins.bar]), end - start)
        if note.note.dead:
            self._dead(note, start, end, words)
            return
        before = self.sounding.get(note.origin) if note.origin is not None else None
        if before is not None and note.via in PITCH_MOVES:
            tone = before
            tone.end = end
            tone.arrive(start, note.path[1] if len(note.path) > 1 else note.path[0], LONGEST_BEND)
        else:
            tone = self._struck(note, before, start, end, room, words)
        velocity = _velocity(note, words)
        tone, moved = self._motions(note, tone, start, end, room, velocity)
        if is_number(words.get("trill", "")) and note.held is not None:
            tone = self._repeated(note, tone, start, end, TRILL, float(int(words["trill"]) - note.held), velocity)
        elif "trem" in words:
            tone = self._repeated(note, tone, start, end, TREMOLO, 0.0, velocity)
        if "swell" in words:
            tone.swells_until = tone.start + min(SWELL, 0.6 * (end - tone.start))
        self._finish(note, tone, moved, end)
        self.sounding[index] = tone

    def _new(self, note: TimedNote, start: float, end: float, velocity: float, pitch: float) -> Tone:
        is_muted = any(mark.word == "pm" for mark in note.marks)
        tone = Tone(start, end, max(1, min(127, round(velocity))), pitch, [(start, pitch)], is_muted)
        self.tones[note.string].append(tone)
        return tone

    def _dead(self, note: TimedNote, start: float, end: float, words: dict[str, str]) -> None:
        level = DEAD * (GHOST if "ghost" in words else 1.0)
        open_string = float(self.instrument.open_midi(note.string))
        self._new(note, start, min(end, start + DEAD_LENGTH), level, open_string).is_muted = True

    def _struck(
        self, note: TimedNote, before: Tone | None, start: float, end: float, room: float, words: dict[str, str]
    ) -> Tone:
        velocity = _velocity(note, words) * LEGATO.get(note.via, 1.0)
        if note.via not in ("/", "\\"):
            return self._new(note, start, end, velocity, note.path[0])
        if before is not None:
            before.arrive(start, note.path[0], LONGEST_SLIDE)
            return self._new(note, start, end, velocity, note.path[0])
        away = SLIDE_IN_FRETS if note.via == "/" else -SLIDE_IN_FRETS
        tone = self._new(note, start, end, _velocity(note, words), note.path[0])
        tone.curve = [(start, note.path[0] - away)]
        tone.move(start, start + min(GRACE, room / 4), note.path[0])
        return tone

    def _motions(
        self, note: TimedNote, tone: Tone, start: float, end: float, room: float, velocity: float
    ) -> tuple[Tone, float]:
        """The moves within a slot: bends spread over it, grace notes at once. Also returns when the last is done."""
        steps = [motion for motion in note.note.motions if motion.fret is not None and motion.sign != "pb"]
        pitches = note.path[len(note.path) - len(steps) :]
        moment = start
        share = room / max(1, len(steps))
        grace = min(GRACE, room / (len(steps) + 1))
        for place, (motion, pitch) in enumerate(zip(steps, pitches, strict=False)):
            if motion.sign in PITCH_MOVES:
                moment = max(moment, start + share * place)
                arrival = moment + min(LONGEST_BEND, 0.6 * share)
                tone.move(moment, arrival, pitch)
                moment = arrival
                continue
            moment += grace
            if motion.sign in ("/", "\\"):
                tone.arrive(moment, pitch, LONGEST_SLIDE)
            tone.end = min(tone.end, moment)
            tone = self._new(note, moment, end, velocity * LEGATO[motion.sign], pitch)
        return tone, moment

    def _repeated(
        self, note: TimedNote, tone: Tone, start: float, end: float, each: float, interval: float, velocity: float
    ) -> Tone:
        """Strike again and again, every second time so far away, in as many equal parts as fit."""
        times = min(MOST_REPEATS, max(2, round((end - start) / each)))
        main = tone.pitch
        for place in range(1, times):
            moment = max(tone.start, start + (end - start) * place / times)
            away = interval * (place % 2)
            level = velocity if not interval else velocity * LEGATO["h" if away > 0 else "p"]
            tone.end = min(tone.end, moment)
            tone = self._new(note, moment, end, level, main + away)
        return tone

    def _finish(self, note: TimedNote, tone: Tone, moved: float, end: float) -> None:
        """Vibrato and slides to nowhere, which last to the end of the note."""
        for motion in note.note.motions:
            if motion.sign in VIBRATO:
                begins = max(tone.start, moved + min(VIBRATO_DELAY, (end - moved) / 4))
                tone.vibrato.append((begins, end, VIBRATO[motion.sign]))
            elif motion.sign in ("/", "\\") and motion.fret is None:
                leaves = max(moved, end - min(SLIDE_OUT, 0.4 * (end - moved)))
                away = SLIDE_OUT_FRETS if motion.sign == "/" else -SLIDE_OUT_FRETS
                tone.move(leaves, end, tone.pitch + away)


def _velocity(note: TimedNote, words: dict[str, str]) -> float:
    return PLUCKED * (ACCENT if "accent" in words else 1.0) * (GHOST if "ghost" in words else 1.0)


def _slot_seconds(note: TimedNote, bar: TimedBar) -> float:
    return float(note.slot) * (bar.end - bar.start) / float(bar.length)


def _rolled(notes: Sequence[TimedNote]) -> dict[int, float]:
    """How much later than written each note of a rolled chord is struck: from the low string up, or down."""
    delays: dict[int, float] = {}
    for chord in _strokes(notes):
        words = {mark.word for _, note in chord for mark in note.marks}
        if "roll" not in words or len(chord) == 1:
            continue
        room = max(0.0, min(note.end - note.start for _, note in chord))
        step = min(ROLL, 0.4 * room / (len(chord) - 1))
        ordered = sorted(chord, key=lambda pair: pair[1].string, reverse="up" not in words)
        delays.update({index: step * place for place, (index, _) in enumerate(ordered)})
    return delays


def _strokes(notes: Sequence[TimedNote]) -> Iterator[list[tuple[int, TimedNote]]]:
    for _, chord in groupby(enumerate(notes), key=lambda pair: (pair[1].begins, pair[1].address)):
        yield list(chord)
