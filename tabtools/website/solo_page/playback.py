"""What the page plays: a timeline as the records that its script reads, in whole milliseconds and cents.

A voice is one string from the moment it is plucked until it stops: hammer-ons, pull-offs, slides, bends and the
vibrato bar go on in the voice they come from. Where a slide arrives nothing strikes the string.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise
from typing import Any

from tabtools.harmony.chords import tones_of
from tabtools.notation.chords import chord_or_none
from tabtools.performance import Attack, CurvePoint, CurveShape, Voice, voices_of
from tabtools.timeline import Timeline
from tabtools.website.records import (
    BarRecord,
    ChordRecord,
    PointRecord,
    StrikeRecord,
    SwellRecord,
    VibratoRecord,
    VoiceRecord,
    flat,
    listed,
)

PLUCKED_LEVEL = 80
"""Per cent, of a plain plucked note."""


def score_of(timeline: Timeline) -> dict[str, Any]:
    """The score of a solo, ready for JSON: `a4` in hertz, `pace` in counts a minute as written, `end`, `bars`
    (`BarRecord`), `chords` (`ChordRecord`) and `voices` (`VoiceRecord`)."""
    return {
        "a4": timeline.solo.header.instrument.reference,
        "pace": float(timeline.solo.header.tempo),
        "end": _ms(timeline.seconds),
        "bars": [listed(bar) for bar in _bars(timeline)],
        "chords": [listed(chord) for chord in _chords(timeline)],
        "voices": [listed(_packed(voice)) for voice in voices_of(timeline)],
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


def _chords(timeline: Timeline) -> Iterator[ChordRecord]:
    """Where the tones of the harmony change."""
    before: list[int] = []
    for bar in timeline.bars:
        per_quarter = (bar.end - bar.start) / float(bar.length) if bar.length else 0.0
        for chord in bar.chords:
            tones = _tones(chord.symbol)
            if tones != before:
                yield ChordRecord(_ms(bar.start + float(chord.onset - bar.onset) * per_quarter), tones)
            before = tones


def _tones(symbol: str | None) -> list[int]:
    """The root of a chord and what stands above it up to its seventh."""
    chord = chord_or_none(symbol)
    if chord is None:
        return []
    root = chord.root.pitch_class
    return sorted(tones_of(chord).core | {root}, key=lambda tone: (tone - root) % 12)


def _packed(voice: Voice) -> VoiceRecord:
    begin = _ms(voice.start)

    def since(moment: float) -> int:
        return max(0, _ms(moment) - begin)

    struck = [strike for strike in voice.strikes if strike.attack != Attack.SLIDE]
    return VoiceRecord(
        begin,
        since(voice.end),
        flat(StrikeRecord(since(one.moment), int(one.attack), round(PLUCKED_LEVEL * one.level)) for one in struck),
        flat(PointRecord(since(one.moment), _cents(one.pitch), int(one.shape)) for one in _simple(voice.curve)),
        flat(VibratoRecord(since(one.start), since(one.end), one.cents) for one in voice.vibrato) or None,
        flat(SwellRecord(since(one.start), since(one.end)) for one in voice.swells) or None,
        None if voice.fades_from is None else since(voice.fades_from),
    )


def _simple(curve: Sequence[CurvePoint]) -> Iterator[CurvePoint]:
    """A curve without the points at which the pitch stays and from which nothing moves."""
    for place, (point, after) in enumerate(pairwise([*curve, CurvePoint(0.0, 0.0, CurveShape.JUMP)])):
        is_still = point.shape == after.shape == CurveShape.JUMP
        if place == 0 or not is_still or point.pitch != curve[place - 1].pitch:
            yield point


def _ms(seconds: float) -> int:
    return round(seconds * 1000)


def _cents(midi: float) -> int:
    return round(midi * 100)
