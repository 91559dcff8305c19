"""A melody of two voices as lines: the bass, and what is sung above it.

`tabtools.score.two_voices` says which notes are the bass. Of the rest those are fill that are plucked while a higher
note rings that was struck in the same bar, a minor third or more above, alone and in passing: the next stroke comes as
soon as they came themselves; but not where one comes once in its bar, and a step leads from it, or to it from the tune.
What is no fill is the tune.

The tune has the phrases of the whole. The bass goes on over rests of the tune: its stretches end with a section, and
where a bar has no bass.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import pairwise

from tabtools.score.two_voices import plucking_finger
from tabtools.study.melody import Melody, Struck
from tabtools.study.phrases import opening_bars
from tabtools.timeline import TimedNote, Timeline

UNDER = 3
"""Semitones between fill and the note that rings above it."""


def part_of(melody: Melody, kept: Collection[int]) -> Melody:
    """The melody with the notes kept alone, each voice with strokes of its own; a note lasts until the next of them."""
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
    until = [struck.onset for struck in strokes[1:]]
    ended = [one._replace(release=min(one.release, end)) for one, end in zip(strokes, until, strict=False)]
    return replace(melody, strokes=(*ended, *strokes[-1:]), stroke_of=tuple(stroke_of))


def held_until(timeline: Timeline, unmarked: Collection[int]) -> tuple[float, ...]:
    """When each note of the timeline ends for the hand that plucks, in seconds.

    Where a finger is marked, its string is held under a shape until it is plucked again, or to the end of the bar; so
    are all strings in the bars of the `unmarked` bass notes.
    """
    ends = {bar.onset: bar.end for bar in timeline.bars}
    plucked = {timeline.notes[index].begins.bar for index in unmarked}
    following: dict[int, float] = {}
    held = []
    for note in reversed(timeline.notes):
        end = note.end
        if note.string and note.midi is not None and (plucking_finger(note) or note.begins.bar in plucked):
            bar = ends[note.begins.bar]
            end = max(end, min(following.get(note.string, bar), bar))
        following[note.string] = note.start
        held.append(end)
    return tuple(reversed(held))


def tune_of(melody: Melody, bass: Collection[int], held: Sequence[float]) -> frozenset[int]:
    """The notes above the bass that are no fill; `held` is when each note of the timeline ends."""
    notes = melody.timeline.notes
    own = [[at for at in struck.notes if at not in bass] for struck in melody.strokes]
    upper = [place for place, indices in enumerate(own) if indices]
    played = Counter((melody.strokes[place].bar.onset, melody.strokes[place].top) for place in upper)
    ringing: list[TimedNote] = []
    kept: set[int] = set()
    for before, place, following in zip((None, *upper), upper, (*upper[1:], None), strict=False):
        struck = melody.strokes[place]
        first = notes[own[place][0]]
        ringing = [note for note in ringing if held[note.index] > first.start and note.begins.bar == first.begins.bar]
        highest = max([note.midi or 0 for note in ringing], default=0)
        is_below = len(own[place]) == len(struck.notes) and struck.top <= highest - UNDER
        beside = [following] if before is None or own[before][0] not in kept else [before, following]
        steps = [abs(melody.strokes[other].top - struck.top) for other in beside if other is not None]
        goes_on = played[struck.bar.onset, struck.top] == 1 and any(1 <= step < UNDER for step in steps)
        if not is_below or goes_on or not _is_in_passing(melody.strokes, place):
            kept.update(own[place])
        ringing += [notes[index] for index in own[place]]
    return frozenset(kept)


def _is_in_passing(strokes: Sequence[Struck], place: int) -> bool:
    """Whether the next stroke comes as soon as this one came after the one before."""
    if not place:
        return False
    here = strokes[place]
    if any(struck.doubt for struck in strokes[place - 1 : place + 2]):
        return False
    lasts = (strokes[place + 1].onset if place + 1 < len(strokes) else here.release) - here.onset
    return lasts <= here.onset - strokes[place - 1].onset


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
