"""Made-up corrections by two people of one and the same place: each makes its own version for side 0 or side 1."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from made_drafts import Draft
from made_solos import made_lines, made_words

from tabtools.model.solo import Bar, BeatLine, ChordMark, Comment, Note, Passage, Section, Stroke
from tabtools.notation.build import read_solo
from tabtools.source import from_text

CollisionError = Callable[[Draft, random.Random, int], None]
"""Correct the place that the random numbers choose, the way of this side."""


def _bar(draft: Draft, place: random.Random) -> int:
    one = place.choice([one for one, item in enumerate(draft.solo.items) if isinstance(item, Bar)])
    draft.touched.add(one)
    return one


def _lone_bar(draft: Draft, place: random.Random) -> int:
    one = place.choice(sorted(draft.lone_bars()))
    draft.touched.add(one)
    draft.settle(one)
    return one


def _line(draft: Draft, one: int, place: random.Random) -> tuple[int, BeatLine]:
    lines = draft.items[one].lines
    index = place.randrange(len(lines))
    return index, lines[index]


def _refret(draft: Draft, one: int, index: int, line: BeatLine, by: int) -> None:
    """Move the first note of a line that has a fret; play one where there is none."""
    at = next((at for at, slot in enumerate(line.slots) if _is_fretted(slot)), 0)
    slot = line.slots[at]
    notes = slot.notes if _is_fretted(slot) else (Note(1, 10),)
    slot = Stroke((replace(notes[0], fret=notes[0].fret + by), *notes[1:]), slot.weight)
    draft.set_line(one, index, replace(line, slots=(*line.slots[:at], slot, *line.slots[at + 1 :])))


def _is_fretted(slot: object) -> bool:
    return isinstance(slot, Stroke) and slot.notes[0].fret is not None


def same_note(draft: Draft, place: random.Random, side: int) -> None:
    one = _bar(draft, place)
    _refret(draft, one, *_line(draft, one, place), by=(3, 5)[side])


def note_and_rhythm(draft: Draft, place: random.Random, side: int) -> None:
    one = _bar(draft, place)
    index, line = _line(draft, one, place)
    if side:
        draft.set_line(one, index, replace(line, slots=(*line.slots, Stroke((Note(6, 1),)))))
    else:
        _refret(draft, one, index, line, by=4)


def note_and_lost_bar(draft: Draft, place: random.Random, side: int) -> None:
    one = _lone_bar(draft, place)
    if side:
        draft.order.remove(one)
    else:
        _refret(draft, one, *_line(draft, one, place), by=4)


def same_comment(draft: Draft, place: random.Random, side: int) -> None:
    one = _bar(draft, place)
    index, line = _line(draft, one, place)
    comment = Comment(f"# {('heard', 'seen')[side]} on the film")
    draft.set_line(one, index, replace(line, comments=replace(line.comments, beside=comment)))


def same_chord(draft: Draft, place: random.Random, side: int) -> None:
    one = _bar(draft, place)
    draft.items[one] = replace(draft.items[one], chords=(ChordMark(("Bbmaj7", "Bb7")[side]),))


def same_tempo(draft: Draft, place: random.Random, side: int) -> None:
    one = _bar(draft, place)
    draft.items[one] = replace(draft.items[one], tempo=Fraction((50, 55)[side]))


def same_title(draft: Draft, place: random.Random, side: int) -> None:
    draft.touched.add("title")
    draft.fields[0] = replace(draft.fields[0], value=("Ferry", "Slipway")[side])


def lost_recording(draft: Draft, place: random.Random, side: int) -> None:
    draft.touched.add("recording")
    if side:
        draft.fields = [one for one in draft.fields if one.name != "recording"]
    else:
        draft.fields[2] = replace(draft.fields[2], value="another tape")


def new_bar_at_one_place(draft: Draft, place: random.Random, side: int) -> None:
    behind = place.choice(draft.places())
    draft.settle(behind)
    lines = made_lines(random.Random(f"{side} {behind}"))
    text = "\n".join([f"bar {draft.solo.items[behind].number + 1}  {('Eb7', 'Ab7')[side]}", *lines])
    draft.insert(behind, read_solo(from_text(text + "\n")).solo.items[0])


def moved_to_two_places(draft: Draft, place: random.Random, side: int) -> None:
    one = _lone_bar(draft, place)
    behind = place.sample([other for other in draft.places() if abs(other - one) > 2], 2)
    for other in behind:
        draft.settle(other)
    draft.order.remove(one)
    draft.order.insert(draft.order.index(behind[side]) + 1, one)


def same_section(draft: Draft, place: random.Random, side: int) -> None:
    one = place.choice([one for one, item in enumerate(draft.solo.items) if isinstance(item, Section)])
    draft.touched.add(one)
    draft.items[one] = replace(draft.items[one], name=f"{made_words(place)} {side}")


def same_passage(draft: Draft, place: random.Random, side: int) -> None:
    one = place.choice([one for one, item in enumerate(draft.solo.items) if isinstance(item, Passage)])
    draft.touched.add(one)
    draft.items[one] = replace(draft.items[one], name=f"{made_words(place)} {side}")


STAYING: tuple[CollisionError, ...] = (
    same_note, note_and_rhythm, same_comment, same_chord, same_tempo, same_title, lost_recording, same_section,
    same_passage,
)  # fmt: skip
COMING_AND_GOING: tuple[CollisionError, ...] = (note_and_lost_bar, new_bar_at_one_place, moved_to_two_places)
"""Those after which a decision may leave a gap in the numbers of bars."""
EVERY_COLLISION = STAYING + COMING_AND_GOING
