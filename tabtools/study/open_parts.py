"""What of each note is not known yet, for programs to count and to pass over."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from typing import Literal

from tabtools.model.instrument import Instrument
from tabtools.timeline import TimedNote, Timeline
from tabtools.timeline.readings import is_one_pitch

OpenPart = Literal["pitch", "unheard", "place", "reading", "where", "rhythm", "chord"]
"""`pitch`: a note without one; `unheard`: a stretch that cannot be made out; `place`: a pitch stands in the place of a
fret, where the note begins or on its way; `reading`: not surely this note; `where`: surely this pitch, at one of
several places; `rhythm`: under a doubtful count; `chord`: over a doubtful one, or under a doubtful count within which
a chord begins."""


def open_parts(timeline: Timeline) -> tuple[tuple[OpenPart, ...], ...]:
    """For each note of the timeline, in its order, what of it is open; nothing where all is known."""
    over_doubtful, changing = _over_doubtful_chords(timeline), _lines_with_changes(timeline)
    instrument = timeline.solo.header.instrument
    is_any = bool(over_doubtful or changing)
    return tuple(
        [
            tuple(_parts(note, note.index in over_doubtful or id(note.line) in changing, instrument))
            if is_any or note.motions or note.note.is_open or note.note.unsure or note.line.doubtful
            else ()
            for note in timeline.notes
        ]
    )


def _over_doubtful_chords(timeline: Timeline) -> set[int]:
    """The notes that stand over a doubtful chord."""
    changes = [(chord.onset, chord.mark.doubtful) for bar in timeline.bars for chord in bar.chords]
    if not any(doubtful for _, doubtful in changes):
        return set()
    onsets = [onset for onset, _ in changes]
    places = ((note.index, bisect_right(onsets, note.onset) - 1) for note in timeline.notes)
    return {index for index, place in places if place >= 0 and changes[place][1]}


def _lines_with_changes(timeline: Timeline) -> set[int]:
    """The doubtful lines within which a chord begins, by their ids: which notes stand over it is not known."""
    return {
        id(line.line)
        for bar in timeline.bars
        for line in bar.lines
        if line.line.doubtful
        for chord in bar.chords
        if line.onset < chord.onset < line.onset + line.length
    }


def _parts(timed: TimedNote, is_over_doubtful: bool, instrument: Instrument) -> Iterator[OpenPart]:
    note = timed.note
    if note.unknown:
        yield "pitch"
    if note.unheard:
        yield "unheard"
    if note.names_pitch:
        yield "place"
    if note.unsure:
        yield "where" if is_one_pitch(timed, instrument) else "reading"
    if timed.line.doubtful:
        yield "rhythm"
    if is_over_doubtful:
        yield "chord"
