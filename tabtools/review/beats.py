"""The beat lines of a bar that stands in both versions: lines by their counts, then strokes, then notes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tabtools.model.rhythm import Feel, Meter
from tabtools.model.solo import Address, Bar, Group, Note, Slot, Stroke, notes_of
from tabtools.review.change import Change, ChangeSite, Kind, Part
from tabtools.review.classify import kinds_of, retuned_by
from tabtools.review.pairing import (
    Beats,
    StrokeAt,
    beats_of,
    blocks_of,
    has_gap_beside,
    note_pairs,
    same_beside_gaps,
    same_in_order,
    same_moments,
    stroke_pairs,
)
from tabtools.review.sequence import Pair
from tabtools.review.sound import Sounds
from tabtools.review.writing import comments_text, counts_text, line_text, marks_text, stroke_text
from tabtools.timeline import TimedNote

Places = tuple[Address | None, Address | None]
"""Where something stood and where it stands."""
Skeleton = tuple[tuple[type[Any], int, "Skeleton | None"], ...]
"""How slots divide their time: the kind and the weight of each, and what is within."""


@dataclass(frozen=True, slots=True)
class BarPair:
    """A bar in two versions, the items it is, and the meter and feel it is played with in the new one."""

    old: Bar
    new: Bar
    site: ChangeSite
    meter: Meter
    feel: Feel
    sounds: Sounds

    def beats(self) -> Iterator[Change]:
        """Every change within the lines, in the order of the counts."""
        for before, after in self._blocks():
            pairs = [(index, index) for index in range(len(before.strokes))]
            if before.lines != after.lines:
                if _is_pair(before, after):
                    yield from self._beside_the_slots(before, after)
                if not _is_pair(before, after) or _skeleton(before) != _skeleton(after):
                    pitches = self.sounds.old_pitches, self.sounds.new_pitches
                    pairs = stroke_pairs(before.strokes, after.strokes, *pitches)
                    yield self._reshaped(before, after, pairs)
            yield from self._strokes(before, after, pairs)

    def _blocks(self) -> Iterator[tuple[Beats, Beats]]:
        """Lines that share no count with others; what moved from one block to the next is looked at in both at once."""
        blocks = [
            (self._beats(self.old, olds), self._beats(self.new, news))
            for olds, news in blocks_of(self.old.lines, self.new.lines)
        ]
        at = 0
        while at < len(blocks):
            end = self._end_of_shift(blocks, at)
            if end - at == 1:
                yield blocks[at]
            else:
                sides = zip(*blocks[at:end], strict=True)
                olds, news = (range(side[0].at, side[-1].at + len(side[-1].lines)) for side in sides)
                yield self._beats(self.old, olds), self._beats(self.new, news)
            at = end

    def _end_of_shift(self, blocks: Sequence[tuple[Beats, Beats]], at: int) -> int:
        """Behind the last block over which strokes were moved in time alone, none coming and none going."""
        excess = 0
        for end in range(at, len(blocks)):
            excess += len(blocks[end][0].strokes) - len(blocks[end][1].strokes)
            if not excess:
                break
        sides = zip(*blocks[at : end + 1], strict=True)
        old, new = ([one for block in side for one in block.strokes] for side in sides)
        is_shift = end > at and same_in_order(old, new, self.sounds.old_pitches, self.sounds.new_pitches)
        return end + 1 if is_shift else at + 1

    def _beats(self, bar: Bar, lines: range) -> Beats:
        return beats_of(bar, lines, self.meter, self.feel)

    def carried(self) -> Iterator[Change]:
        """What sounds otherwise in lines that are written the same."""
        for line, other in zip(self.old.lines, self.new.lines, strict=True):
            for before, after in zip(notes_of(line), notes_of(other), strict=True):
                yield from self._carried(before, after)

    # ---- lines

    def _beside_the_slots(self, before: Beats, after: Beats) -> Iterator[Change]:
        (line,), (other,) = before.lines, after.lines
        site, places = self._site(before, after), self._places(before, after)
        if line.marks != other.marks:
            texts = marks_text(line.marks), marks_text(other.marks)
            yield Change((Kind.TECHNIQUE,), Part.MARKS, site, *places, *texts, line.marks, other.marks)
        if line.comments != other.comments:
            texts = comments_text(line.comments), comments_text(other.comments)
            yield Change((Kind.COMMENT,), Part.COMMENTS, site, *places, *texts, line.comments, other.comments)
        if line.doubtful != other.doubtful and _skeleton(before) == _skeleton(after):
            texts = counts_text(line), counts_text(other)
            yield Change(_doubts(before, after), Part.DOUBT, site, *places, *texts, line.doubtful, other.doubtful)

    def _reshaped(self, before: Beats, after: Beats, pairs: list[Pair]) -> Change:
        """Lines whose slots divide the time otherwise; the strokes that stay keep their old notes here."""
        kinds = {*_doubts(before, after)}
        if not same_moments(before, after, pairs):
            kinds |= _shape_kinds(before, after)
        kept = {j: before.strokes[i].stroke.notes for i, j in pairs}
        strokes = iter(range(len(after.strokes)))
        lines = tuple(replace(line, slots=_with_notes(line.slots, strokes, kept)) for line in after.lines)
        if _is_pair(before, after):
            (line,) = before.lines
            lines = (replace(lines[0], marks=line.marks, comments=line.comments),)
        else:
            if [line.marks for line in before.lines if line.marks] != [line.marks for line in lines if line.marks]:
                kinds.add(Kind.TECHNIQUE)
            if _comment_texts(before) != _comment_texts(after):
                kinds.add(Kind.COMMENT)
        was, now = ("\n".join(line_text(line) for line in side.lines) for side in (before, after))
        ordered = tuple(kind for kind in Kind if kind in kinds) or (Kind.LAYOUT,)
        unheard = self.sounds.all_old(before.unheard), self.sounds.all_new(after.unheard)
        return Change(ordered, Part.LINES, self._site(before, after), *self._places(before, after), was, now,
                      before.lines, lines, *unheard)  # fmt: skip

    def _strokes(self, before: Beats, after: Beats, pairs: list[Pair]) -> Iterator[Change]:
        """What became of each stroke, in the order of the new ones, those that are gone where they were."""
        partners = {j: i for i, j in pairs}
        alone = [one for i, one in enumerate(before.strokes) if i not in partners.values()]
        for j, other in enumerate(after.strokes):
            yield from self._gone_before(before, after, other, alone)
            i = partners.get(j)
            yield from [self._come(before, after, other)] if i is None else self._stroke(before.strokes[i], other)
        yield from (self._gone(before, after, one) for one in alone)

    def _gone_before(self, before: Beats, after: Beats, other: StrokeAt, alone: list[StrokeAt]) -> Iterator[Change]:
        """The strokes that are gone and stood before a new one by their addresses; they are taken off the list."""
        while alone and (alone[0].line.first, alone[0].number) <= (other.line.first, other.number):
            yield self._gone(before, after, alone.pop(0))

    def _gone(self, before: Beats, after: Beats, one: StrokeAt) -> Change:
        notes = one.stroke.notes
        kind = _stroke_kind(one, after, Kind.OPENED)
        return Change((kind,), Part.NOTHING, self._site(before, after), self._address(self.old, one), None,
                      stroke_text(notes), before=notes, sounded=self.sounds.all_old(notes))  # fmt: skip

    def _come(self, before: Beats, after: Beats, one: StrokeAt) -> Change:
        notes = one.stroke.notes
        kind = _stroke_kind(one, before, Kind.HEARD)
        return Change((kind,), Part.NOTHING, self._site(before, after), None, self._address(self.new, one), "",
                      stroke_text(notes), after=notes, sounds=self.sounds.all_new(notes))  # fmt: skip

    # ---- strokes and notes

    def _stroke(self, one: StrokeAt, other: StrokeAt) -> Iterator[Change]:
        before, after = one.stroke.notes, other.stroke.notes
        pairs = [(0, 0)]
        if len(before) > 1 or len(after) > 1:
            pairs = note_pairs(
                before,
                after,
                self._strings(before, self.sounds.old),
                self._strings(after, self.sounds.new),
                self.sounds.old_pitches,
                self.sounds.new_pitches,
            )
        places = self._address(self.old, one), self._address(self.new, other)
        site = self.site._replace(line=other.line_index, stroke=other.index)
        if [i for i, _ in pairs] != list(range(len(before))) or len(after) > len(before):
            yield self._other_notes(before, after, pairs, site, places)
        for i, j in pairs:
            if before[i] == after[j]:
                yield from self._carried(before[i], after[j])
            else:
                yield self._note(before[i], after[j], site._replace(note=j), places)

    def _other_notes(
        self, before: tuple[Note, ...], after: tuple[Note, ...], pairs: list[Pair], site: ChangeSite, places: Places
    ) -> Change:
        """A stroke with more, fewer or reordered notes; those that stay keep their old writing here."""
        kept = dict(pairs)
        stayed = {j: before[i] for i, j in pairs}
        gone = [note for i, note in enumerate(before) if i not in kept]
        come = [note for j, note in enumerate(after) if j not in stayed]
        notes = tuple(stayed.get(j, note) for j, note in enumerate(after))
        kind = Kind.NOTES if gone or come else Kind.LAYOUT
        if before[0].unheard or after[0].unheard:
            kind = Kind.HEARD if before[0].unheard else Kind.OPENED
        return Change((kind,), Part.STROKE, site, *places, stroke_text(before), stroke_text(after), before, notes,
                      self.sounds.all_old(gone), self.sounds.all_new(come))  # fmt: skip

    def _note(self, before: Note, after: Note, site: ChangeSite, places: Places) -> Change:
        sounded, sounds = self.sounds.old(before), self.sounds.new(after)
        retuned = retuned_by(sounded.string, *self.sounds.instruments) if sounded and before.pitch is None else 0
        same_pitch = sounded is not None and sounds is not None and bool(sounded.path) and sounded.path == sounds.path
        kinds = kinds_of(before, after, sounded, sounds, 0 if same_pitch else retuned)
        same_string = sounded is not None and sounds is not None and sounded.string == sounds.string
        follows = bool(retuned) and same_pitch and same_string and kinds == (Kind.PLACE,)
        return Change(kinds, Part.NOTE, site, *places, stroke_text([before]), stroke_text([after]), before, after,
                      self.sounds.all_old([before]), self.sounds.all_new([after]), follows=follows)  # fmt: skip

    def _carried(self, before: Note, after: Note) -> Iterator[Change]:
        """A move that names no string and is on another one now, that of a stroke before."""
        if after.string is not None:
            return
        sounded, sounds = self.sounds.old(before), self.sounds.new(after)
        if sounded is None or sounds is None or sounded.string == sounds.string:
            return
        text = stroke_text([after])
        yield Change(kinds_of(before, after, sounded, sounds), Part.NOTHING, self.site, sounded.address, sounds.address,
                     text, text, before, after, (sounded,), (sounds,), follows=True)  # fmt: skip

    # ---- places

    def _strings(self, notes: Sequence[Note], timed: Callable[[Note], TimedNote | None]) -> list[int | None]:
        return [played.string if (played := timed(note)) else note.string for note in notes]

    def _address(self, bar: Bar, one: StrokeAt) -> Address:
        return Address(bar.number, one.line.first, one.number)

    def _site(self, before: Beats, after: Beats) -> ChangeSite:
        return self.site._replace(old_line=before.at, line=after.at)

    def _places(self, before: Beats, after: Beats) -> Places:
        return _place(self.old, before), _place(self.new, after)


def _place(bar: Bar, side: Beats) -> Address | None:
    return Address(bar.number, side.lines[0].first) if side.lines else None


def _is_pair(before: Beats, after: Beats) -> bool:
    """Whether one line stands for one line."""
    counts = [[(line.first, line.last) for line in side.lines] for side in (before, after)]
    return counts[0] == counts[1] and len(counts[0]) == 1


def _skeleton(side: Beats) -> list[Skeleton]:
    """How slots divide the time of their lines, whatever is played."""
    return [_shape(line.slots) for line in side.lines]


def _shape(slots: tuple[Slot, ...]) -> Skeleton:
    return tuple((type(slot), slot.weight, _shape(slot.slots) if isinstance(slot, Group) else None) for slot in slots)


def _with_notes(slots: tuple[Slot, ...], strokes: Iterator[int], kept: dict[int, tuple[Note, ...]]) -> tuple[Slot, ...]:
    """The slots with the notes of strokes replaced, strokes being counted off as they come."""
    return tuple(
        replace(slot, slots=_with_notes(slot.slots, strokes, kept))
        if isinstance(slot, Group)
        else replace(slot, notes=kept.get(next(strokes), slot.notes))
        if isinstance(slot, Stroke)
        else slot
        for slot in slots
    )


def _doubts(before: Beats, after: Beats) -> tuple[Kind, ...]:
    """What became of doubts about the rhythm."""
    was, now = (any(line.doubtful for line in side.lines) for side in (before, after))
    return () if was == now else (Kind.RESOLVED,) if was else (Kind.RAISED,)


def _shape_kinds(before: Beats, after: Beats) -> set[Kind]:
    """What it is that slots divide their time otherwise: another rhythm, or gaps that are filled or come.

    None where the same stretch is not heard, in more or fewer pieces.
    """
    if not (before.gaps or after.gaps) or not same_beside_gaps(before, after):
        return {Kind.RHYTHM}
    heard = {Kind.HEARD} if has_gap_beside(before, after) else set()
    return heard | {Kind.OPENED} if has_gap_beside(after, before) else heard


def _stroke_kind(one: StrokeAt, other: Beats, in_gap: Kind) -> Kind:
    """Of a stroke that stands on one side alone, `in_gap` where the other side has a gap there."""
    if other.is_in_gap(one.moment):
        return Kind.LAYOUT if one.stroke.notes[0].unheard else in_gap
    return Kind.NOTES


def _comment_texts(side: Beats) -> list[str]:
    return [comments_text(line.comments) for line in side.lines if line.comments]
