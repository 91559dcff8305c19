"""A solo around one stroke: all else where the whole solution has it, under the fingers it has there."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from tabtools.hand import Hand, HandProfile
from tabtools.hand.grip import FINGERS
from tabtools.model.solo import Mark, Note
from tabtools.placing.placed import place, runs_with, with_places, written_notes
from tabtools.placing.proposal import hand_for
from tabtools.placing.wish import Wish
from tabtools.source import Span
from tabtools.timeline import Timeline, timeline_of


@dataclass(frozen=True)
class Around:
    """`wholes` are the hands that play everything placed, first with the stroke where it is best, then where it stands.

    `timeline` has the fingers of the first declared (`lh`) on every note but the stroke and those without a place that
    are slurred to it, which are as they were written.
    """

    wholes: tuple[Hand, ...]
    timeline: Timeline


def around(timeline: Timeline, indices: Collection[int], wish: Wish, profile: HandProfile) -> Around:
    """The solo around the notes of one stroke."""
    is_placed = not all(timeline.notes[index].note.names_pitch for index in indices)
    moves = (indices, ()) if is_placed else ((),)
    wholes = tuple(hand_for(place(timeline, wish, moved=moved, profile=profile), profile) for moved in moves)
    whole = wholes[0]
    notes = written_notes(timeline)
    free = {index for index in runs_with(notes, indices) if timeline.notes[index].note.names_pitch} | {*indices}
    fixed: dict[Span, Note] = {}
    for timed in notes:
        if timed.index not in free:
            there = whole.timeline.notes[timed.index].note
            fixed[timed.note.span] = _declared(there, whole.notes[timed.index].finger)
    return Around(wholes, timeline_of(with_places(timeline.solo, fixed)))


def _declared(note: Note, finger: str) -> Note:
    if finger not in FINGERS:
        return note
    return replace(note, marks=(*(mark for mark in note.marks if mark.word != "lh"), Mark("lh", finger)))
