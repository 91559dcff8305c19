"""Searching once more, as plainly as can be: note by note over the timeline, every stretch tried."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby, pairwise
from typing import NamedTuple

from tabtools.harmony.chords import chord_type
from tabtools.model.harmony import ChordSymbol
from tabtools.notation.chords import read_chord
from tabtools.search.query import Query, WantedChord
from tabtools.study.techniques import techniques_of
from tabtools.timeline import Timeline


class Stroke(NamedTuple):
    """What a search can ask of a stroke. Pitches are in semitones, quarter tones kept."""

    pitch: float | None
    degree: int | None
    start: int | None
    chord: ChordSymbol | None
    techniques: tuple[str, ...]
    onset: Fraction
    duration: Fraction
    is_in_time: bool
    is_let_go_in_time: bool


def strokes(timeline: Timeline) -> list[Stroke]:
    found = []
    doubtful = [
        (line.onset, line.onset + line.length) for bar in timeline.bars for line in bar.lines if line.line.doubtful
    ]

    def is_known(moment: Fraction) -> bool:
        return not any(start <= moment < end for start, end in doubtful)

    for _, notes in groupby(timeline.notes, key=lambda note: note.address):
        notes = list(notes)
        pitched = [note for note in notes if note.midi is not None]
        top = max(pitched, key=lambda note: note.midi) if pitched else notes[0]
        chord = read_chord(top.chord) if top.chord else None
        found.append(
            Stroke(
                rounded(top.midi),
                above(chord, top.midi),
                above(chord, top.attack),
                chord,
                techniques_of(notes),
                top.onset,
                top.duration,
                is_known(top.onset),
                is_known(top.onset + top.duration),
            )
        )
    return found


def rounded(midi: float | None) -> float | None:
    """The quarter tone within 5 cents, otherwise the nearest semitone."""
    if midi is None:
        return None
    quarters = [quarter / 2 for quarter in range(255) if abs(quarter / 2 - midi) <= 0.05]
    return quarters[0] if quarters else float(min(range(128), key=lambda semitone: abs(semitone - midi)))


def above(chord: ChordSymbol | None, midi: float | None) -> int | None:
    if chord is None or midi is None:
        return None
    semitone = min(range(128), key=lambda semitone: (abs(semitone - midi), semitone))
    return (semitone - chord.root.pitch_class) % 12


def stretches(query: Query, timeline: Timeline) -> list[tuple[int, int]]:
    """What `search.match.stretches` has to answer to a query with a sequence."""
    row = strokes(timeline)
    last = len(row) - query.length
    return [(at, at + query.length - 1) for at in range(last + 1) if holds(query, row, at, at + query.length)]


def holds(query: Query, row: list[Stroke], first: int, end: int) -> bool:
    part = row[first:end]
    steps = [
        None if None in (one.pitch, other.pitch) else (other.pitch - one.pitch) * 2 for one, other in pairwise(part)
    ]
    if query.intervals and tuple(steps[: len(query.intervals)]) != query.intervals:
        return False
    if query.example:
        wanted = query.example.steps
        folded = [None if step is None else step % 24 for step in steps[: len(wanted)]]
        if folded != [None if step is None else step % 24 for step in wanted]:
            return False
    for stroke, (start, end_) in zip(part, query.degrees, strict=False):
        if stroke.degree != end_ or (start is not None and stroke.start != start):
            return False
    if query.rhythm and not any(
        is_in_rhythm(query, times) for times in both_times(row, first, len(query.rhythm.values))
    ):
        return False
    if query.chord and not all(is_over(query.chord, stroke.chord) for stroke in part):
        return False
    return all(any(name in stroke.techniques for stroke in part) for name in query.techniques)


def both_times(row: list[Stroke], first: int, count: int) -> list[list[Fraction]]:
    """The times from stroke to stroke; the last one until the next stroke, and for as long as it sounds.

    None where a rhythm is in doubt.
    """
    part, last = row[first : first + count + 1], row[first + count - 1]
    if not all(stroke.is_in_time for stroke in part[:count]):
        return []
    until_next = [other.onset - one.onset for one, other in pairwise(part)]
    found = [until_next] if len(until_next) == count and part[-1].is_in_time else []
    return [*found, *([[*until_next[: count - 1], last.duration]] if last.is_let_go_in_time else [])]


def is_in_rhythm(query: Query, times: list[Fraction]) -> bool:
    values = query.rhythm.values
    if query.rhythm.is_exact:
        return tuple(times) == values
    return len({time / value for time, value in zip(times, values, strict=True)}) == 1


def is_over(wanted: WantedChord, chord: ChordSymbol | None) -> bool:
    if wanted.type is None or chord is None:
        return wanted.type is None and chord is None
    bass = (chord.bass or chord.root).pitch_class
    return (
        chord_type(chord) == wanted.type
        and wanted.root in (None, chord.root.pitch_class)
        and wanted.bass in (None, bass)
    )
