"""What was open and is settled by one side, beside what the other changed in the same beat or bar.

Two corrections of one beat are a conflict, as a rule: only ears can tell whether they go together. A side that only
settles what was open says nothing about the rest of the beat; so it goes together with what the other changed there,
as long as they touch different notes, and a move that takes its string from a note counts for that note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from tabtools.model.solo import BeatLine, ChordMark, Hold, Note, Slot, Stroke, notes_of
from tabtools.notation.write import chord_text, slot_text
from tabtools.review.merging.sides import CollisionError, three_way
from tabtools.timeline.spread import shape_of

Slots = tuple[Slot, ...]
Chords = tuple[ChordMark, ...]


def merge_music(base: BeatLine, ours: BeatLine, theirs: BeatLine) -> BeatLine:
    """One line as one side has it, or put together of both; comments aside. Raises `CollisionError`."""
    try:
        music = three_way(*map(_music, (base, ours, theirs)))
    except CollisionError:
        pass
    else:
        return ours if _music(ours) == music else theirs
    runs = _runs(base, ours), _runs(base, theirs)
    if not (_only_settles(base, ours, runs[0]) or _only_settles(base, theirs, runs[1])):
        raise CollisionError
    if all(shape_of(side.slots) != shape_of(base.slots) for side in (ours, theirs)):
        three_way(base.slots, ours.slots, theirs.slots)
    marks = three_way(base.marks, ours.marks, theirs.marks)
    doubtful = three_way(base.doubtful, ours.doubtful, theirs.doubtful)
    return replace(ours, slots=_merge_runs(base.slots, *runs), marks=marks, doubtful=doubtful)


def merge_chords(base: Chords, ours: Chords, theirs: Chords) -> Chords:
    """The chords of a bar, one by one where a side only settles doubtful ones. Raises `CollisionError`."""
    try:
        return three_way(base, ours, theirs)
    except CollisionError:
        moments = [[mark.at for mark in side] for side in (base, ours, theirs)]
        if moments[0] != moments[1] or moments[0] != moments[2]:
            raise
        sides = [list(zip(base, side, strict=True)) for side in (ours, theirs)]
        if not any(all(was == now or was.doubtful for was, now in side) for side in sides):
            raise
    return tuple(_merge_chord(*three) for three in zip(base, ours, theirs, strict=True))


def _merge_chord(base: ChordMark, ours: ChordMark, theirs: ChordMark) -> ChordMark:
    try:
        return three_way(base, ours, theirs)
    except CollisionError:
        raise CollisionError(_told(*map(chord_text, (base, ours, theirs)))) from None


def _music(line: BeatLine) -> tuple[object, ...]:
    return line.slots, line.marks, line.doubtful


def _told(base: str, ours: str, theirs: str) -> str:
    return f"{base} is {ours} here and {theirs} there"


# ---- what a side changed


class _Replaced(NamedTuple):
    """Slots of the base, from `start` up to `end`, that a side replaced. `reach` is the first slot behind them whose
    string does not depend on theirs."""

    start: int
    end: int
    reach: int
    slots: Slots

    def touches(self, other: _Replaced) -> bool:
        """Whether both replace, or lean on, one and the same slot."""
        return self.start < other.reach and other.start < self.reach


def _runs(base: BeatLine, side: BeatLine) -> list[_Replaced]:
    """Slot by slot where a side has as many as the base; otherwise all from the first to the last other one."""
    old, new = base.slots, side.slots
    if len(old) == len(new):
        pairs = enumerate(zip(old, new, strict=True))
        return [_Replaced(at, at + 1, _reach(old, at + 1), (now,)) for at, (was, now) in pairs if was != now]
    start = _alike(old, new)
    behind = _alike(old[start:][::-1], new[start:][::-1])
    end = len(old) - behind
    return [_Replaced(start, end, _reach(old, end), new[start : len(new) - behind])]


def _alike(one: Sequence[Slot], other: Sequence[Slot]) -> int:
    """How many slots are the same from the beginning."""
    pairs = zip(one, other, strict=False)
    return next((at for at, (a, b) in enumerate(pairs) if a != b), min(len(one), len(other)))


def _reach(slots: Slots, at: int) -> int:
    """Behind the last slot from `at` on that takes its string from the slots before."""
    reach = at
    for place in range(at, len(slots)):
        note = next(iter(_notes((slots[place],))), None)
        if note is not None and not (note.via and note.string is None):
            break
        reach = reach if note is None else place + 1
    return reach


def _notes(slots: Slots) -> list[Note]:
    return notes_of(BeatLine(1, 1, slots))


def _only_settles(base: BeatLine, side: BeatLine, runs: Sequence[_Replaced]) -> bool:
    """Whether a side changed nothing but what was open in a line."""
    if base.marks != side.marks or (side.doubtful and not base.doubtful):
        return False
    settles_rhythm = base.doubtful and not side.doubtful
    for run in runs:
        was = base.slots[run.start : run.end]
        old, new = _notes(was), _notes(run.slots)
        if old and len(old) == len(new) and shape_of(was) == shape_of(run.slots):
            is_settled = all(one == other or _settles(one, other) for one, other in zip(old, new, strict=True))
        else:
            is_settled = all(map(_is_open, old)) and (settles_rhythm or _has_gap(base.slots, run))
        if not is_settled:
            return False
    return True


def _settles(was: Note, now: Note) -> bool:
    """Whether more is known of a note than before."""
    if _known(now) != _known(was):
        return _known(now) > _known(was)
    names_string = was.is_open and was.string is None and now.string is not None
    names_frets = any(motion.pitch for motion in was.motions) and not any(motion.pitch for motion in now.motions)
    return names_string or names_frets or (was.unsure and not now.unsure)


def _known(note: Note) -> int:
    return 0 if note.unheard else 1 if note.unknown else 2 if note.is_open else 3


def _is_open(note: Note) -> bool:
    return note.is_open or note.unsure or any(motion.pitch for motion in note.motions)


def _has_gap(slots: Slots, run: _Replaced) -> bool:
    """Whether slots are, or go on with, a stretch that was not heard."""
    was = slots[run.start : run.end]
    if not was or isinstance(was[0], Hold):
        was = (*[slot for slot in slots[: run.start] if not isinstance(slot, Hold)][-1:], *was)
    return any(note.unheard for note in _notes(was))


# ---- both together


def _merge_runs(slots: Slots, ours: Sequence[_Replaced], theirs: Sequence[_Replaced]) -> Slots:
    runs = list(ours)
    for run in theirs:
        rivals = [other for other in ours if run.touches(other)]
        if not rivals:
            runs.append(run)
        elif len(rivals) > 1 or (rivals[0].start, rivals[0].end) != (run.start, run.end):
            raise CollisionError
        else:
            (rival,) = rivals
            runs[runs.index(rival)] = rival._replace(slots=_merge_slots(slots[run.start : run.end], rival, run))
    for run in sorted(runs, key=lambda run: (run.start, run.end), reverse=True):
        slots = (*slots[: run.start], *run.slots, *slots[run.end :])
    return slots


def _merge_slots(base: Slots, ours: _Replaced, theirs: _Replaced) -> Slots:
    """What both put in the place of the same slots: the same, or note by note of one stroke."""
    three = (base, ours.slots, theirs.slots)
    try:
        return three_way(*three)
    except CollisionError:
        strokes = [slot for side in three for slot in side if isinstance(slot, Stroke)]
        if len(strokes) == 3 and all(len(side) == 1 for side in three) and (merged := _merge_stroke(*strokes)):
            return (merged,)
        raise CollisionError(_told(*(" ".join(map(slot_text, side)) for side in three))) from None


def _merge_stroke(base: Stroke, ours: Stroke, theirs: Stroke) -> Stroke | None:
    """One stroke note by note; None where the two cannot both be had."""
    if not len(base.notes) == len(ours.notes) == len(theirs.notes):
        return None
    try:
        weight = three_way(base.weight, ours.weight, theirs.weight)
        notes = tuple(map(_merge_note, base.notes, ours.notes, theirs.notes))
    except CollisionError:
        return None
    return replace(ours, notes=notes, weight=weight)


def _merge_note(base: Note, ours: Note, theirs: Note) -> Note:
    """A note that both settled alike keeps the pitch that one of them wrote behind it."""
    for one, other in ((ours, theirs), (theirs, ours)):
        if other.heard is None and one == replace(other, heard=one.heard):
            return one
    return three_way(base, ours, theirs)
