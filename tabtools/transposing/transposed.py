"""A solo, or some bars of it, moved: every note keeps its degree, role and rhythm, and its shape where that can be."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import groupby

from tabtools.hand import DEFAULT_PROFILE, Hand, HandProfile, hand_of
from tabtools.hand.grip import FULL_CHORD, OPEN_CHORDS_TO
from tabtools.hand.profile import ERROR_STRAIN
from tabtools.hand.stance import FINGERS_OF_A_HAND
from tabtools.model.solo import Bar, ChordMark, Comment, Field, Item, Like, Note, Solo
from tabtools.notation.chord_faults import ChordError
from tabtools.placing.placed import moved_mark, place, runs_of, runs_with, with_places, written_notes
from tabtools.source import Span
from tabtools.timeline import TimedNote, Timeline, timeline_of
from tabtools.transposing.interval import OCTAVE
from tabtools.transposing.moving import Move

NEAR_BY = (1, -1, 2, -2)
"""So many strings lower a grip is tried that leaves the neck where it is, or would have an open string there."""
JUST = 1e-6
"""Semitones that are none: what harmonics lose where they are reckoned otherwise."""


class TransposeError(Exception):
    """A solo that cannot be transposed as a whole; the text says why and what to do."""


@dataclass(frozen=True)
class Transposed:
    """The solo moved, the notes that were placed anew, and those that no hand can play there, each as it would be."""

    solo: Solo
    placed_anew: tuple[TimedNote, ...]
    unplayable: tuple[tuple[TimedNote, Note], ...]


def transpose(timeline: Timeline, move: Move, origin: str, profile: HandProfile = DEFAULT_PROFILE) -> Transposed:
    """Move a solo. `origin` is the comment that says where it came from. Raises `TransposeError`."""
    notes = written_notes(timeline)
    if move.strings and not any(timed.string for timed in notes):
        raise TransposeError("no note here has a string yet; tabtools place gives them strings")
    before = unplayable(hand_of(timeline, profile))
    moved = replace(_headed(timeline.solo, move, origin), items=tuple(_chords_moved(timeline.solo.items, move)))
    opened, gripped = _leaving_the_neck(notes, move)
    for again in range(2):
        refused: list[TimedNote] = []
        new: dict[Span, Note] = {}
        for timed in notes:
            note = move.as_pitch(timed) if timed.index in opened else gripped.get(timed.index) or move.in_shape(timed)
            if note is None:
                refused.append(timed)
            else:
                new[timed.note.span] = note
        bare = with_places(moved, new)
        timed_bare = timeline_of(bare)
        found = place(timed_bare, within=opened, profile=profile)
        refused += [timeline.notes[timed.index] for timed in found.unplaced]
        placed = [timed for timed in notes if timed.index in found.indices]
        solo = with_places(bare, {timed.note.span: _as_noted(timed.note, found.placed) for timed in placed})
        hard = unplayable(hand_of(timeline_of(solo), profile)) - before
        if not hard or again:
            break
        opened |= runs_with(notes, hard)
    after = timeline_of(solo)
    would_be = {timed.index: move.beyond(timed) for timed in _in_the_way(refused, move)}
    playing = [*(timed for timed in notes if timed.index in hard), *_sounding_otherwise(timeline, after, move)]
    would_be = {timed.index: after.notes[timed.index].note for timed in playing} | would_be
    anew = tuple(timed for timed in notes if timed.index in found.indices or timed.index in gripped)
    return Transposed(solo, anew, tuple((timeline.notes[index], would_be[index]) for index in sorted(would_be)))


def _leaving_the_neck(notes: Collection[TimedNote], move: Move) -> tuple[set[int], dict[int, Note]]:
    """What cannot stay in shape on its strings: the notes to be placed anew, and those of grips that go to others.

    Grips on the same strings one after the other go together, if all of them can; full chords go each by itself.
    """
    opened: set[int] = set()
    gripped: dict[int, Note] = {}
    for _, same in groupby(runs_of(notes), key=_strings):
        row = list(same)
        leaving = [run for run in row if not _stays_in_shape(run, move)]
        together = (
            _on_other_strings([timed for run in row for timed in run], move)
            if leaving and len(row[0]) < FULL_CHORD
            else {}
        )
        gripped |= together
        for run in leaving if not together else ():
            elsewhere = _on_other_strings(run, move)
            gripped |= elsewhere
            if not elsewhere and len(_in_shape(run, move)) < len(run):
                opened |= {timed.index for timed in run}
    return opened, gripped


def _strings(run: Collection[TimedNote]) -> tuple[int, ...]:
    """The strings of a grip, in order."""
    return tuple(sorted({timed.string for timed in run}))


def _stays_in_shape(run: Collection[TimedNote], move: Move) -> bool:
    """Whether the neck has it there, no string open that was held down but in a chord of the nut that is learnt so."""
    grip = _in_shape(run, move)
    return len(grip) == len(run) and (_is_open_chord(grip.values()) or not _opens_a_string(run, grip))


def _is_open_chord(grip: Collection[Note]) -> bool:
    """Whether notes are a full chord in the first frets, none of its strings silent."""
    strings = [note.string for note in grip if note.string is not None]
    if len(strings) < max(FULL_CHORD, len(grip)) or max(strings) - min(strings) >= len(strings):
        return False
    return all(note.fret is not None and not note.motions and note.fret <= OPEN_CHORDS_TO for note in grip)


def _in_shape(run: Collection[TimedNote], move: Move) -> dict[int, Note]:
    return {timed.index: note for timed in run if (note := move.in_shape(timed)) is not None}


def _opens_a_string(run: Collection[TimedNote], grip: Mapping[int, Note]) -> bool:
    """Whether a string is open that was held down; single notes may be."""
    is_grip = any(timed.part > 1 for timed in run)
    return is_grip and any(grip[timed.index].fret == 0 != timed.fret for timed in run if timed.index in grip)


def _on_other_strings(run: Collection[TimedNote], move: Move) -> dict[int, Note]:
    """The same grip on strings near by, no string of it open that was not; empty where there is none."""
    if all(timed.part == 1 for timed in run):
        return {}
    for strings in NEAR_BY:
        grip = _in_shape(run, replace(move, strings=move.strings + strings))
        if len(grip) == len(run) and not _opens_a_string(run, grip):
            return grip
    return {}


def _in_the_way(refused: Collection[TimedNote], move: Move) -> Iterator[TimedNote]:
    """Of notes that have no place, those of each grip that leave the neck; all of it where none does."""
    for run in runs_of(sorted(refused, key=lambda timed: timed.index)):
        off = [timed for timed in run if move.in_shape(timed) is None]
        yield from off or run


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
    """The solo with its new key and title, and above its first line where it came from. Nobody recorded it so."""
    has_player = bool(solo.header.player)
    kept = [field for field in solo.fields if field.name != "recording" or not has_player]
    fields = tuple(_field(field, solo, move) for field in kept)
    lost = [comment for field in solo.fields if field not in kept for comment in field.comments.all()]
    said = (Comment(f"# {origin}"), Comment("# An exercise: nobody played it so"))
    if not fields:
        return replace(solo, remarks=(*said, *solo.remarks))
    first = fields[0]
    comments = replace(first.comments, above=(*said, *lost, *first.comments.above))
    return replace(solo, fields=(replace(first, comments=comments), *fields[1:]))


def _field(field: Field, solo: Solo, move: Move) -> Field:
    key = solo.header.key
    if field.name == "key" and key is not None:
        return replace(field, value=str(replace(key, tonic=move.interval.tone(key.tonic))))
    if field.name == "title":
        return replace(field, value=f"{field.value}, {_done(solo, move)}")
    return field


def _done(solo: Solo, move: Move) -> str:
    """What became of it, for its title: `in C minor`; how far it went where it has no key or keeps it."""
    key = solo.header.key
    if key is None or move.interval.semitones % OCTAVE == 0:
        return move.in_words
    new = f"in {replace(key, tonic=move.interval.tone(key.tonic))}"
    return f"{new}, {move.strings_in_words}" if move.strings else new


def _chords_moved(items: Collection[Item], move: Move) -> Iterator[Item]:
    for item in items:
        if isinstance(item, Bar | Like):
            number = item.number if isinstance(item, Bar) else item.first
            moved = replace(item, chords=tuple(_chord(mark, move, number) for mark in item.chords))
            yield replace(moved, at=None) if isinstance(moved, Bar) else moved
        else:
            yield item


def _chord(mark: ChordMark, move: Move, bar: int) -> ChordMark:
    try:
        return replace(mark, symbol=move.interval.chord(mark.symbol))
    except ChordError as fault:
        raise TransposeError(f"the chord {mark.symbol} of bar {bar} cannot be read: {fault}") from None
