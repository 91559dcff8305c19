"""A solo, or some bars of it, moved: every note keeps its degree, role and rhythm, and its shape where that can be."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from tabtools.hand import DEFAULT_PROFILE, Hand, HandProfile, hand_of
from tabtools.hand.grip import FINGERS_OF_A_HAND
from tabtools.hand.profile import ERROR_STRAIN
from tabtools.model.solo import Bar, ChordMark, Comment, Field, Item, Like, Note, Section, Solo, numbers_of
from tabtools.notation.chord_faults import ChordError
from tabtools.placing.placed import moved_mark, place, runs_with, with_places, written_notes
from tabtools.source import Span
from tabtools.timeline import TimedNote, Timeline, timeline_of
from tabtools.transposing.moving import Move

JUST = 1e-6
"""Semitones that are none: what harmonics lose where they are reckoned otherwise."""


class TransposeError(Exception):
    """A solo that cannot be transposed as a whole; the text says why and what to do."""


@dataclass(frozen=True)
class Transposed:
    """The solo moved, the addresses of the strokes that were placed anew, and the notes that no hand can play there."""

    solo: Solo
    placed_anew: tuple[TimedNote, ...]
    unplayable: tuple[TimedNote, ...]


def transpose(timeline: Timeline, move: Move, origin: str, profile: HandProfile = DEFAULT_PROFILE) -> Transposed:
    """Move a solo. `origin` is the comment that says where it came from. Raises `TransposeError`."""
    notes = written_notes(timeline)
    before = unplayable(hand_of(timeline, profile))
    moved = replace(_headed(timeline.solo, move, origin), items=tuple(_chords_moved(timeline.solo.items, move)))
    opened: set[int] = set()
    for again in range(2):
        refused: list[TimedNote] = []
        new: dict[Span, Note] = {}
        if not again:
            opened = runs_with(notes, {timed.index for timed in notes if move.in_shape(timed) is None})
        for timed in notes:
            note = move.as_pitch(timed) if timed.index in opened else move.in_shape(timed)
            if note is None:
                refused.append(timed)
            else:
                new[timed.note.span] = note
        bare = with_places(moved, new)
        timed_bare = timeline_of(bare)
        found = place(timed_bare, within=opened, profile=profile)
        refused += [timeline.notes[timed.index] for timed in found.unplaced]
        anew = [timed for timed in notes if timed.index in found.indices]
        solo = with_places(bare, {timed.note.span: _as_noted(timed.note, found.placed) for timed in anew})
        hard = unplayable(hand_of(timeline_of(solo), profile)) - before
        if not hard or again:
            break
        opened |= runs_with(notes, hard)
    refused += [timed for timed in notes if timed.index in hard]
    refused += _sounding_otherwise(timeline, timeline_of(solo), move)
    return Transposed(solo, tuple(anew), tuple(sorted(dict.fromkeys(refused), key=lambda timed: timed.index)))


def _sounding_otherwise(before: Timeline, after: Timeline, move: Move) -> Iterator[TimedNote]:
    """Notes that would not sound as they should, like a bent harmonic whose string is stopped elsewhere then."""
    for one, other in zip(before.notes, after.notes, strict=True):
        steps = [new - old - move.interval.semitones for old, new in zip(one.path, other.path, strict=False)]
        if len(one.path) != len(other.path) or any(abs(step) > JUST for step in steps):
            yield one


def _as_noted(note: Note, placed: Mapping[Span, Note]) -> Note:
    """A note placed anew: its trill goes along, and its pitch stands behind it only where one stood there before."""
    new = placed[note.span]
    if note.fret is not None and new.fret is not None:
        trills = (moved_mark(mark, int(new.fret - note.fret)) for mark in note.marks if mark.word == "trill")
        new = replace(new, marks=(*new.marks, *trills))
    return new if note.pitch_heard is not None else replace(new, heard=None)


def unplayable(hand: Hand) -> set[int]:
    """The indices of notes at which no hand reaches all that it must hold."""
    found = set()
    for grasp, _ in hand.composed:
        if grasp.shape.needed > FINGERS_OF_A_HAND or grasp.grip.strain > ERROR_STRAIN:
            found.add(grasp.struck.note)
    return found


def _headed(solo: Solo, move: Move, origin: str) -> Solo:
    """The solo with its new key, and above its first line where it came from."""
    fields = tuple(_field(field, solo, move) for field in solo.fields)
    comment = Comment(f"# {origin}")
    if not fields:
        return replace(solo, remarks=(comment, *solo.remarks))
    first = fields[0]
    comments = replace(first.comments, above=(comment, *first.comments.above))
    return replace(solo, fields=(replace(first, comments=comments), *fields[1:]))


def _field(field: Field, solo: Solo, move: Move) -> Field:
    key = solo.header.key
    if field.name == "key" and key is not None:
        return replace(field, value=str(replace(key, tonic=move.interval.tone(key.tonic))))
    return field


def _chords_moved(items: Collection[Item], move: Move) -> Iterator[Item]:
    for item in items:
        if isinstance(item, Bar | Like):
            number = item.number if isinstance(item, Bar) else item.first
            yield replace(item, chords=tuple(_chord(mark, move, number) for mark in item.chords))
        else:
            yield item


def _chord(mark: ChordMark, move: Move, bar: int) -> ChordMark:
    try:
        return replace(mark, symbol=move.interval.chord(mark.symbol))
    except ChordError as fault:
        raise TransposeError(f"the chord {mark.symbol} of bar {bar} cannot be read: {fault}") from None


def bars_alone(solo: Solo, first: int, last: int) -> Solo:
    """The solo with these bars alone, and the sections and passages among them. Raises `TransposeError`."""
    items: list[Item] = []
    kept: set[int] = set()
    for item in solo.items:
        if isinstance(item, Bar | Like):
            numbers = numbers_of(item)
            if numbers[-1] < first or numbers[0] > last:
                continue
            if isinstance(item, Like):
                missing = [number for number in range(item.like_first, item.like_last + 1) if number not in kept]
                if missing or numbers[0] < first or numbers[-1] > last:
                    here = f"bar {numbers[0]} repeats bar {item.like_first}, which is not among these"
                    raise TransposeError(f"{here}; name a longer stretch")
            kept.update(numbers)
            items.append(item)
        elif isinstance(item, Section):
            items = [one for one in items if not isinstance(one, Section)] if not kept else items
            items.append(item)
        elif first <= item.range.first.bar and item.range.last.bar <= last:
            items.append(item)
    if not kept:
        raise TransposeError(
            f"the solo has no bars {first}-{last}" if first != last else f"the solo has no bar {first}"
        )
    while items and isinstance(items[-1], Section):
        items.pop()
    return replace(solo, items=tuple(items))
