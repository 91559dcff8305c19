"""A melody of two voices as lines: the bass, and what is sung above it.

`tabtools.score.two_voices` says which notes are the bass. Of the rest those are fill that are plucked while a higher
note rings that was struck in the same bar, a minor third or more above, alone and in passing: the next note of the
upper voice comes as soon as they came themselves. What is no fill is the tune.

The tune has the phrases of the whole. The bass goes on over rests of the tune: its stretches end with a section, and
where a bar has no bass.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import pairwise

from tabtools.study.melody import Melody, Struck
from tabtools.study.phrases import opening_bars
from tabtools.timeline import TimedNote

UNDER = 3
"""Semitones between fill and the note that rings above it."""


def part_of(melody: Melody, kept: Collection[int]) -> Melody:
    """The melody with the notes kept alone, each voice with strokes of its own."""
    strokes: list[Struck] = []
    stroke_of: list[int | None] = [None] * len(melody.stroke_of)
    for struck in melody.strokes:
        own = [at for at, index in enumerate(struck.notes) if index in kept]
        if not own:
            continue
        for at in own:
            stroke_of[struck.notes[at]] = len(strokes)
        if len(own) < len(struck.notes):
            top = struck.pitches[own[0]]
            struck = struck._replace(
                notes=tuple([struck.notes[at] for at in own]),
                pitches=tuple([struck.pitches[at] for at in own]),
                top=top,
                entry=top if own[0] else struck.entry,
            )
        strokes.append(struck)
    return replace(melody, strokes=tuple(strokes), stroke_of=tuple(stroke_of))


def tune_of(melody: Melody, bass: Collection[int]) -> frozenset[int]:
    """The notes above the bass that are no fill."""
    notes = melody.timeline.notes
    upper = [(struck, own) for struck in melody.strokes if (own := [at for at in struck.notes if at not in bass])]
    ringing: list[TimedNote] = []
    kept: set[int] = set()
    for place, (struck, own) in enumerate(upper):
        first = notes[own[0]]
        ringing = [note for note in ringing if note.end > first.start and note.begins.bar == first.begins.bar]
        highest = max([note.midi or 0 for note in ringing], default=0)
        is_alone = len(struck.notes) == len(own)
        if not (is_alone and struck.top <= highest - UNDER and _is_in_passing(upper, place)):
            kept.update(own)
        ringing += [notes[index] for index in own]
    return frozenset(kept)


def _is_in_passing(upper: Sequence[tuple[Struck, list[int]]], place: int) -> bool:
    """Whether the next stroke comes as soon as this one came after the one before."""
    if not place:
        return False
    before, here = upper[place - 1][0], upper[place][0]
    lasts = (upper[place + 1][0].onset if place + 1 < len(upper) else here.release) - here.onset
    return lasts <= here.onset - before.onset


def bass_borders(lower: Melody) -> tuple[int, ...]:
    """When the stretches of the bass begin, in ticks."""
    opening = opening_bars(lower.timeline.solo)
    following = {bar.onset: after.onset for bar, after in pairwise(lower.timeline.bars)}
    borders = []
    before = None
    for struck in lower.strokes:
        bar = struck.bar
        if before is not bar and (before is None or bar.number in opening or following[before.onset] != bar.onset):
            borders.append(struck.onset)
        before = bar
    return tuple(borders)
