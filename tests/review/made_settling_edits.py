"""Made-up corrections that settle what was open, or open it again, each with what a comparison is to report of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from made_beat_edits import Edit, is_gap, is_plain, number_of, on_a_line, on_one_note, with_slot
from made_drafts import Draft, Spot

from tabtools.model.instrument import STANDARD_INSTRUMENT
from tabtools.model.solo import Bar, BeatLine, ChordMark, Group, Heard, Motion, Note, Place, Stroke

PLACED = "placed"
"""Touched by who places a pitch: in another tuning it would lie elsewhere."""
OTHER_READING = Place(4, 3)
"""Another pitch than any that is made up."""


def _is_pitch(note: Note) -> bool:
    """Whether only the pitch of a note is known, and that surely."""
    return note == Note(None, None, pitch=note.pitch) and note.pitch is not None


def _placed(note: Note, pitch: Heard, string: int) -> Note:
    fret = pitch.midi - STANDARD_INSTRUMENT.open_midi(string)
    return replace(note, string=string, fret=fret, pitch=None, unknown=False, unheard=False)


def _is_followed(strokes: list[Stroke], number: int) -> bool:
    """Whether the next stroke takes its string from this one."""
    return number < len(strokes) and strokes[number].notes[0].string is None and bool(strokes[number].notes[0].via)


# ---- notes


def place_decided(draft: Draft) -> bool:
    if "tuning" in draft.touched:
        return False

    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        if not _is_pitch(note):
            return None
        heard = note.pitch if draft.rng.random() < 0.5 else None
        return replace(_placed(note, note.pitch, draft.rng.randint(1, 4)), heard=heard)

    is_made = on_one_note(draft, change, "placed")
    draft.touched |= {PLACED} if is_made else set()
    return is_made


def string_decided(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, string=draft.rng.randint(1, 4)) if _is_pitch(note) else None

    return on_one_note(draft, change, "placed")


def pitch_heard(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, unknown=False, pitch=Heard(65, "F4")) if note.unknown else None

    return on_one_note(draft, change, "heard")


def pitch_heard_at_its_place(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return _placed(note, Heard(65, "F4"), note.string or 2) if note.unknown else None

    return on_one_note(draft, change, "heard", "placed")


def other_open_pitch(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, pitch=Heard(71, "B4")) if _is_pitch(note) else None

    return on_one_note(draft, change, "pitch")


def open_technique(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, motions=(Motion("~"),)) if _is_pitch(note) or note.unknown else None

    return on_one_note(draft, change, "technique")


def place_open_again(draft: Draft) -> bool:
    def change(note: Note, strokes: list[Stroke], number: int) -> Note | None:
        if not is_plain(note) or _is_followed(strokes, number):
            return None
        midi = int(STANDARD_INSTRUMENT.midi(note.string, note.fret))
        names = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
        return Note(None, None, pitch=Heard(midi, f"{names[midi % 12]}{midi // 12 - 1}"))

    return on_one_note(draft, change, "opened")


def pitch_open_again(draft: Draft) -> bool:
    def change(note: Note, strokes: list[Stroke], number: int) -> Note | None:
        if not is_plain(note) or _is_followed(strokes, number):
            return None
        return Note(draft.rng.choice((None, note.string)), None, unknown=True)

    return on_one_note(draft, change, "opened")


def reading_added(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        if not note.unsure:
            return None
        other = Heard(52, "E3") if note.pitch else OTHER_READING
        return replace(note, others=(*note.others, other))

    return on_one_note(draft, change, "readings")


def reading_dropped(draft: Draft) -> bool:
    def change(note: Note, _: list[Stroke], __: int) -> Note | None:
        return replace(note, others=()) if note.others else None

    return on_one_note(draft, change, "readings")


def other_reading_taken(draft: Draft) -> bool:
    def change(note: Note, strokes: list[Stroke], number: int) -> Note | None:
        if not note.pitch or not note.others or note.others[0] == note.pitch:
            return None
        return replace(note, pitch=note.others[0], unsure=False, others=())

    return on_one_note(draft, change, "pitch", "resolved")


# ---- stretches


def _on_a_gap(draft: Draft, filled: Callable[[Stroke], Stroke | Group]) -> tuple[Spot, int] | None:
    for one, index, at, strokes in draft.strokes():
        line = draft.items[one].lines[index]
        if is_gap(line.slots[at]):
            number = number_of(strokes, line.slots[at])
            draft.set_line(one, index, with_slot(line, at, filled(line.slots[at])))
            draft.touched.add(one)
            return Spot(one, line.first), number
    return None


def gap_heard_as_one_note(draft: Draft) -> bool:
    if (found := _on_a_gap(draft, lambda gap: replace(gap, notes=(Note(1, 11),)))) is None:
        return False
    line, number = found
    draft.expect_at(line._replace(stroke=number), "heard", "placed")
    return True


def gap_filled(draft: Draft) -> bool:
    notes = (Note(1, 11), Note(None, 12, "h"), Note(None, None, unknown=True))
    if (found := _on_a_gap(draft, lambda gap: Group(tuple(Stroke((note,)) for note in notes), gap.weight))) is None:
        return False
    line, number = found
    draft.expect_at(line, "heard")
    draft.expect_at(line._replace(stroke=number), "heard", "placed")
    for step in (1, 2):
        draft.expect("heard", new=line._replace(stroke=number + step))
    return True


def gap_left(draft: Draft) -> bool:
    def change(note: Note, strokes: list[Stroke], number: int) -> Note | None:
        return Note(None, None, unheard=True) if is_plain(note) and not _is_followed(strokes, number) else None

    return on_one_note(draft, change, "opened")


# ---- rhythm and chords


def rhythm_settled(draft: Draft) -> bool:
    def change(line: BeatLine) -> BeatLine | None:
        return replace(line, doubtful=False) if line.doubtful else None

    return on_a_line(draft, change, "resolved")


def rhythm_settled_in_other_shares(draft: Draft) -> bool:
    def change(line: BeatLine) -> BeatLine | None:
        first, *rest = line.slots
        is_divided = isinstance(first, Stroke) and not is_gap(first) and rest and isinstance(rest[0], Stroke)
        if not (line.doubtful and is_divided):
            return None
        return replace(line, doubtful=False, slots=(replace(first, weight=3), *rest))

    return on_a_line(draft, change, "rhythm", "resolved")


def rhythm_in_doubt(draft: Draft) -> bool:
    def change(line: BeatLine) -> BeatLine | None:
        return None if line.doubtful else replace(line, doubtful=True)

    return on_a_line(draft, change, "raised")


def _on_chords(draft: Draft, change: Callable[[ChordMark], ChordMark], is_doubtful: bool, kind: str) -> bool:
    for one in draft.bars():
        bar = draft.items[one]
        if isinstance(bar, Bar) and any(mark.doubtful is is_doubtful for mark in bar.chords):
            draft.items[one] = replace(bar, chords=tuple(map(change, bar.chords)))
            draft.expect_at(Spot(one), kind)
            return True
    return False


def chords_settled(draft: Draft) -> bool:
    return _on_chords(draft, lambda mark: replace(mark, doubtful=False), True, "resolved")


def chords_in_doubt(draft: Draft) -> bool:
    return _on_chords(draft, lambda mark: replace(mark, doubtful=True), False, "raised")


SETTLING: tuple[Edit, ...] = (
    place_decided, string_decided, pitch_heard, pitch_heard_at_its_place, other_open_pitch, open_technique,
    place_open_again, pitch_open_again, reading_added, reading_dropped, other_reading_taken, gap_heard_as_one_note,
    gap_filled, gap_left, rhythm_settled, rhythm_settled_in_other_shares, rhythm_in_doubt, chords_settled,
    chords_in_doubt,
)  # fmt: skip
