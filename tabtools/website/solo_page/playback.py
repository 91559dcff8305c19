"""What the page plays: a timeline as a compact score of strings that are struck, and of their pitch as it moves.

A score holds numbers only. Times are whole milliseconds at the written tempo, swing included; pitches are cents
above MIDI number 0 (6900 is A4). A voice is one string from the moment it is plucked until it stops: hammer-ons,
pull-offs, slides, bends and the vibrato bar go on in the voice they come from.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, groupby, pairwise
from typing import Any

from tabtools.model.solo import PITCH_MOVES
from tabtools.source import is_number
from tabtools.timeline import TimedBar, TimedNote, Timeline
from tabtools.website.records import (
    SHAPES,
    STRIKE_KINDS,
    BarRecord,
    PointRecord,
    StrikeRecord,
    SwellRecord,
    VibratoRecord,
    VoiceRecord,
    flat,
    listed,
)

JUMP, GLIDE, FRETS = range(len(SHAPES))
PLUCK, HAMMER, PULL, TAP, MUTED, DEAD, HARMONIC, PINCH = range(len(STRIKE_KINDS))

_LEGATO = {"h": HAMMER, "p": PULL, "t": TAP}
_LEVELS = {HAMMER: 55, PULL: 60, TAP: 65, DEAD: 45}
_PLUCKED_LEVEL, _GHOST, _ACCENT = 80, 0.45, 1.3

LONGEST_BEND, LONGEST_SLIDE, GRACE = 0.16, 0.12, 0.07
SLIDE_OUT, SLIDE_OUT_FRETS, SLIDE_IN_FRETS = 0.15, 4, 2
ROLL, RAKE = 0.03, 0.025
TRILL, TREMOLO, MOST_REPEATS = 0.09, 0.085, 200
SWELL, VIBRATO_DELAY = 0.6, 0.15
VIBRATO_CENTS = {"~": 18, "~~": 45}
SHORTEST = 0.02
"""Seconds, where a moment has no written length: as players do it (common practice), not measured."""


@dataclass(slots=True)
class _Voice:
    """One string from its pluck on; times in seconds since the start of the solo."""

    start: float
    end: float
    strikes: list[tuple[float, int, float]] = field(default_factory=list)
    curve: list[tuple[float, float, int]] = field(default_factory=list)
    waves: list[tuple[float, float, int]] = field(default_factory=list)
    swells: list[tuple[float, float]] = field(default_factory=list)
    fades_from: float | None = None

    def hold(self, moment: float) -> None:
        """The pitch stays where it is until `moment`."""
        since, midi, _ = self.curve[-1]
        if moment > since:
            self.curve.append((moment, midi, JUMP))

    def arrive(self, moment: float, midi: float, shape: int, longest: float) -> None:
        """The pitch moves so that it is there at `moment`, for at most half of the time since its last change."""
        since = self.curve[-1][0]
        room = max(0.0, moment - since)
        self.hold(since + room - min(longest, room / 2))
        self.curve.append((since + room, midi, shape))


def score_of(timeline: Timeline) -> dict[str, Any]:
    """The score of a solo, ready for JSON: `a4` in hertz, `end`, `bars` (`BarRecord`) and `voices` (`VoiceRecord`)."""
    return {
        "a4": timeline.solo.header.instrument.reference,
        "end": _ms(timeline.seconds),
        "bars": [listed(bar) for bar in _bars(timeline)],
        "voices": [listed(_packed(voice)) for voice in _voices(timeline)],
    }


def _bars(timeline: Timeline) -> Iterator[BarRecord]:
    notes = groupby(timeline.notes, key=lambda note: note.begins.bar)
    struck = {onset: [next(same) for _, same in groupby(own, key=lambda note: note.address)] for onset, own in notes}
    heard = -1.0
    for bar in timeline.bars:
        counts = 0 if bar.written.free else round(bar.length / bar.meter.beat)
        onsets = [_ms(note.start) for note in struck.get(bar.onset, ())]
        recorded = None
        if bar.at is not None and float(bar.at) > heard:
            heard = float(bar.at)
            recorded = _ms(heard)
        yield BarRecord(bar.number, _ms(bar.start), bar.first_count, counts, bar.meter.counts, onsets, recorded)


def _voices(timeline: Timeline) -> list[_Voice]:
    bars = {bar.onset: bar for bar in timeline.bars}
    voices: list[_Voice] = []
    playing: dict[int, _Voice] = {}
    delays = _rolled(timeline.notes)
    for index, note in enumerate(timeline.notes):
        words = {mark.word: mark.argument for mark in note.marks}
        slot = _seconds_of(note, bars[note.begins.bar])
        start = note.start + delays.get(index, 0.0)
        end = note.end if note.end > start else start + SHORTEST
        if "stacc" in words:
            end = (start + end) / 2
        if not note.path and not note.note.dead:
            continue
        before = playing.get(note.origin) if note.origin is not None else None
        if before is None:
            voice = _Voice(start, end)
            voices.append(voice)
            if "rake" in words:
                voices.extend(_rake(timeline, note))
        else:
            voice = before
            voice.end = max(voice.end, end)
            voice.fades_from = None
        if not note.note.dead:
            playing[index] = voice
        _play(voice, note, start, end, min(slot, end - start), words, before is not None)
    return sorted(voices, key=lambda voice: voice.start)


def _play(
    voice: _Voice, note: TimedNote, start: float, end: float, room: float, words: dict[str, str], sounding: bool
) -> None:
    """Add a note to its voice; `room` is the part of its slot in which its moves happen."""
    level = _PLUCKED_LEVEL * (_ACCENT if "accent" in words else 1.0) * (_GHOST if "ghost" in words else 1.0)
    kind = _kind(note, words)
    if kind in _LEVELS:
        level *= _LEVELS[kind] / _PLUCKED_LEVEL
    if note.note.dead:
        voice.strikes.append((start, kind, level))
        return
    pitch = note.path[0]
    if sounding and voice.curve and note.via in PITCH_MOVES:
        pitch = note.path[1]
        voice.arrive(start, pitch, GLIDE, LONGEST_BEND)
    elif sounding and voice.curve and note.via in ("/", "\\"):
        voice.arrive(start, pitch, FRETS, LONGEST_SLIDE)
    else:
        _attack(voice, note, start, room, pitch)
        voice.strikes.append((start, kind, level))
    moved = _motions(voice, note, start, room, level)
    if "trill" in words and is_number(words["trill"]) and note.held is not None:
        _trill(voice, moved, end, float(int(words["trill"]) - note.held), level)
    if "trem" in words:
        for moment in _repeats(start, end, TREMOLO)[1:]:
            voice.strikes.append((moment, kind, level))
    if "swell" in words:
        voice.swells.append((start, start + min(SWELL, 0.6 * (end - start))))
    _shake(voice, note, moved, end)


def _kind(note: TimedNote, words: dict[str, str]) -> int:
    if note.note.dead:
        return DEAD
    if note.via in _LEGATO:
        return _LEGATO[note.via]
    if note.note.touch is not None:
        return HARMONIC
    if "pm" in words:
        return MUTED
    return PINCH if "pinch" in words else PLUCK


def _attack(voice: _Voice, note: TimedNote, start: float, room: float, pitch: float) -> None:
    if note.via in ("/", "\\"):
        below = SLIDE_IN_FRETS if note.via == "/" else -SLIDE_IN_FRETS
        voice.curve.append((start, pitch - below, JUMP))
        voice.curve.append((start + min(GRACE, room / 4), pitch, FRETS))
    else:
        voice.curve.append((start, pitch, JUMP))


def _motions(voice: _Voice, note: TimedNote, start: float, room: float, level: float) -> float:
    """The moves within a slot, spread over it; grace notes come at once. Returns when the last one is done."""
    steps = [one for one in note.note.motions if one.fret is not None and one.sign != "pb"]
    pitches = note.path[len(note.path) - len(steps) :]
    moment = max(start, voice.curve[-1][0])
    share = room / max(1, len(steps))
    grace = min(GRACE, room / (len(steps) + 1))
    for place, (motion, pitch) in enumerate(zip(steps, pitches, strict=True)):
        if motion.sign in PITCH_MOVES:
            moment = max(moment, start + share * place)
            voice.hold(moment)
            moment += min(LONGEST_BEND, 0.6 * share)
            voice.curve.append((moment, pitch, GLIDE))
        elif motion.sign in _LEGATO:
            moment += grace
            kind = _LEGATO[motion.sign]
            voice.curve.append((moment, pitch, JUMP))
            voice.strikes.append((moment, kind, level * _LEVELS[kind] / _PLUCKED_LEVEL))
        else:
            moment += grace / 2
            voice.hold(moment)
            moment += min(LONGEST_SLIDE, grace)
            voice.curve.append((moment, pitch, FRETS))
    return moment


def _trill(voice: _Voice, start: float, end: float, interval: float, level: float) -> None:
    main = voice.curve[-1][1]
    for place, moment in enumerate(_repeats(start, end, TRILL)[1:], 1):
        kind = HAMMER if (place % 2 == 1) == (interval > 0) else PULL
        voice.curve.append((moment, main + interval * (place % 2), JUMP))
        voice.strikes.append((moment, kind, level * _LEVELS[kind] / _PLUCKED_LEVEL))


def _repeats(start: float, end: float, each: float) -> list[float]:
    times = min(MOST_REPEATS, max(2, round((end - start) / each)))
    return [start + (end - start) * place / times for place in range(times)]


def _shake(voice: _Voice, note: TimedNote, moved: float, end: float) -> None:
    """Vibrato and slides to nowhere, which last to the end of the note."""
    for motion in note.note.motions:
        if motion.sign in VIBRATO_CENTS:
            delay = min(VIBRATO_DELAY, (end - moved) / 4)
            voice.waves.append((moved + delay, end, VIBRATO_CENTS[motion.sign]))
        elif motion.sign in ("/", "\\") and motion.fret is None:
            leaves = max(voice.curve[-1][0], end - min(SLIDE_OUT, 0.4 * (end - moved)))
            voice.hold(leaves)
            away = SLIDE_OUT_FRETS if motion.sign == "/" else -SLIDE_OUT_FRETS
            voice.curve.append((end, voice.curve[-1][1] + away, FRETS))
            voice.fades_from = leaves


def _rolled(notes: Sequence[TimedNote]) -> dict[int, float]:
    """How much later than written each note of a rolled chord is struck: from the low string up, or down."""
    delays: dict[int, float] = {}
    for _, chord in groupby(enumerate(notes), key=lambda pair: (pair[1].begins, pair[1].address)):
        parts = list(chord)
        words = {mark.word for _, note in parts for mark in note.marks}
        if "roll" not in words or len(parts) == 1:
            continue
        room = min(note.end - note.start for _, note in parts)
        step = min(ROLL, max(0.0, 0.4 * room) / (len(parts) - 1))
        ordered = sorted(parts, key=lambda pair: pair[1].string, reverse="up" not in words)
        delays.update({index: step * place for place, (index, _) in enumerate(ordered)})
    return delays


def _rake(timeline: Timeline, note: TimedNote) -> Iterator[_Voice]:
    """Muted strings brushed on the way to the note."""
    for place in (2, 1):
        moment = note.start - RAKE * place
        if moment >= 0:
            yield _Voice(moment, moment + RAKE, [(moment, DEAD, _LEVELS[DEAD] * _GHOST)])


def _seconds_of(note: TimedNote, bar: TimedBar) -> float:
    return float(note.slot) * (bar.end - bar.start) / float(bar.length)


def _packed(voice: _Voice) -> VoiceRecord:
    begin = voice.start

    def since(moment: float) -> int:
        return max(0, _ms(moment) - _ms(begin))

    return VoiceRecord(
        _ms(begin),
        since(voice.end),
        flat(StrikeRecord(since(moment), kind, round(level)) for moment, kind, level in sorted(voice.strikes)),
        flat(PointRecord(since(moment), _cents(midi), shape) for moment, midi, shape in _simple(voice.curve)),
        flat(VibratoRecord(since(first), since(last), cents) for first, last, cents in voice.waves) or None,
        flat(SwellRecord(since(first), since(last)) for first, last in voice.swells) or None,
        None if voice.fades_from is None else since(voice.fades_from),
    )


def _simple(curve: Sequence[tuple[float, float, int]]) -> Iterator[tuple[float, float, int]]:
    """A curve without the points at which the pitch stays and from which nothing moves, in order even where a note
    without length was still on its way when the next one came."""
    latest = accumulate((moment for moment, _, _ in curve), max)
    curve = [(moment, midi, shape) for moment, (_, midi, shape) in zip(latest, curve, strict=True)]
    for place, (point, after) in enumerate(pairwise([*curve, (0.0, 0.0, JUMP)])):
        is_kept = place == 0 or point[2] != JUMP or after[2] != JUMP or point[1] != curve[place - 1][1]
        if is_kept:
            yield point


def _ms(seconds: float) -> int:
    return round(seconds * 1000)


def _cents(midi: float) -> int:
    return round(midi * 100)
