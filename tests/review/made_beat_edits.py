"""Made-up corrections of single notes, strokes and lines, each with what a comparison is to report of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import takewhile

from made_drafts import Draft, Spot
from made_solos import made_words

from tabtools.model.instrument import STANDARD_INSTRUMENT
from tabtools.model.solo import BeatLine, Comment, Heard, Hold, Mark, Motion, Note, Rest, Stroke

Edit = Callable[[Draft], bool]
"""Makes a correction and says what is to be reported; false where the draft has no place for it."""


def number_of(strokes: list[Stroke], slot: Stroke) -> int:
    return next(index for index, stroke in enumerate(strokes, 1) if stroke is slot)


def with_slot(line: BeatLine, at: int, slot: object) -> BeatLine:
    return replace(line, slots=(*line.slots[:at], slot, *line.slots[at + 1 :]))


# ---- one note


def on_one_note(draft: Draft, change: Callable[[Note, list[Stroke], int], Note | None], *kinds: str) -> bool:
    """Change the one note of some stroke."""
    for one, index, at, strokes in draft.strokes():
        line = draft.items[one].lines[index]
        stroke = line.slots[at]
        number = number_of(strokes, stroke)
        if len(stroke.notes) > 1 or (note := change(stroke.notes[0], strokes, number)) is None:
            continue
        draft.set_line(one, index, with_slot(line, at, replace(stroke, notes=(note,))))
        draft.expect_at(Spot(one, line.first, number), *kinds)
        return True
    return False


def is_gap(slot: object) -> bool:
    return isinstance(slot, Stroke) and slot.notes[0].unheard


def is_plain(note: Note) -> bool:
    return note == Note(note.string, note.fret) and note.string is not None


def other_pitch(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, fret=note.fret + draft.rng.choice((3, 4, 6))) if is_plain(note) else None

    return on_one_note(draft, change, "pitch")


def other_place(draft: Draft) -> bool:
    def change(note: Note, strokes: list[Stroke], number: int) -> Note | None:
        followed = number < len(strokes) and strokes[number].notes[0].string is None
        if not is_plain(note) or followed:
            return None
        for string in (note.string - 1, note.string + 1):
            if STANDARD_INSTRUMENT.has_string(string):
                fret = STANDARD_INSTRUMENT.midi(note.string, note.fret) - STANDARD_INSTRUMENT.open_midi(string)
                if 0 <= fret <= 19:
                    return replace(note, string=string, fret=fret)
        return None

    return on_one_note(draft, change, "place")


def technique(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        if not is_plain(note):
            return None
        how = draft.rng.randrange(4)
        if how == 0:
            return replace(note, motions=(Motion("~"),))
        if how == 1:
            return replace(note, marks=(Mark("accent"),))
        if how == 2:
            return replace(note, via="h")
        return replace(note, motions=(Motion("b", note.fret + 2), Motion("r", note.fret)))

    return on_one_note(draft, change, "technique")


def pitch_and_technique(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, fret=note.fret + 5, motions=(Motion("~~"),)) if is_plain(note) else None

    return on_one_note(draft, change, "pitch", "technique")


def doubt(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, unsure=True) if is_plain(note) else None

    return on_one_note(draft, change, "raised")


def certainty(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, unsure=False, others=()) if note.unsure else None

    return on_one_note(draft, change, "resolved")


def heard(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, heard=Heard(62, "D4")) if is_plain(note) else None

    return on_one_note(draft, change, "comment")


def string_named(draft: Draft) -> bool:
    def change(note: Note, strokes: list[Stroke], number: int) -> Note | None:
        if note.string is not None or not note.via:
            return None
        chain = takewhile(lambda one: not one.notes[0].is_open, strokes[number - 2 :: -1])
        before = next((one.notes[0].string for one in chain if one.notes[0].string is not None), None)
        return None if before is None else replace(note, string=before)

    return on_one_note(draft, change, "layout")


# ---- strokes and lines


def second_note(draft: Draft) -> bool:
    for one, index, at, strokes in draft.strokes():
        line = draft.items[one].lines[index]
        stroke = line.slots[at]
        if len(stroke.notes) == 1 and is_plain(stroke.notes[0]):
            more = replace(stroke, notes=(*stroke.notes, Note(6, 3)))
            draft.set_line(one, index, with_slot(line, at, more))
            draft.expect_at(Spot(one, line.first, number_of(strokes, stroke)), "notes")
            return True
    return False


def on_a_line(draft: Draft, change: Callable[[BeatLine], BeatLine | None], *kinds: str) -> bool:
    for one in draft.bars():
        lines = list(enumerate(draft.items[one].lines))
        for index, line in draft.rng.sample(lines, len(lines)):
            if (changed := change(line)) is not None:
                draft.set_line(one, index, changed)
                draft.expect_at(Spot(one, line.first), *kinds)
                return True
    return False


def rhythm(draft: Draft) -> bool:
    def change(line: BeatLine) -> BeatLine | None:
        first, *rest = line.slots
        return replace(line, slots=(replace(first, weight=2), *rest)) if rest and isinstance(rest[0], Stroke) else None

    return on_a_line(draft, change, "rhythm")


def more_holds(draft: Draft) -> bool:
    def change(line: BeatLine) -> BeatLine | None:
        if len(line.slots) != 2 or not isinstance(line.slots[1], Hold):
            return None
        return replace(line, slots=(*line.slots, Hold(), Hold()))

    return on_a_line(draft, change, "layout")


def line_mark(draft: Draft) -> bool:
    def change(line: BeatLine) -> BeatLine:
        return replace(line, marks=(Mark("pm"),))

    return on_a_line(draft, change, "technique")


def line_comment(draft: Draft) -> bool:
    def change(line: BeatLine) -> BeatLine:
        comment = Comment(f"# {made_words(draft.rng)} now")
        return replace(line, comments=replace(line.comments, beside=comment))

    return on_a_line(draft, change, "comment")


def new_stroke(draft: Draft) -> bool:
    def change(line: BeatLine) -> BeatLine | None:
        if len(line.slots) != 2 or not isinstance(line.slots[1], Hold) or is_gap(line.slots[0]):
            return None
        return replace(line, slots=(line.slots[0], Stroke((Note(6, 21),))))

    if not on_a_line(draft, change, "rhythm"):
        return False
    spot = draft.expected[-1].new
    draft.expect("notes", new=spot._replace(stroke=2))
    return True


def lost_stroke(draft: Draft) -> bool:
    for one, index, at, strokes in draft.strokes():
        line = draft.items[one].lines[index]
        number = number_of(strokes, line.slots[at])
        is_last = at == len(line.slots) - 1 and at > 0
        if is_last and not isinstance(line.slots[at - 1], Rest) and not is_gap(line.slots[at]):
            draft.set_line(one, index, with_slot(line, at, Rest()))
            draft.expect_at(Spot(one, line.first), "rhythm")
            draft.expect("notes", old=Spot(one, line.first, number))
            return True
    return False


BEATS: tuple[Edit, ...] = (
    other_pitch, other_place, technique, pitch_and_technique, doubt, certainty, heard, string_named, second_note,
    rhythm, more_holds, line_mark, line_comment, new_stroke, lost_stroke,
)  # fmt: skip
