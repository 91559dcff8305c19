"""Within a bar: which lines, strokes and notes of one version are those of the other."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from tabtools.model.rhythm import Feel, Meter
from tabtools.model.solo import Bar, BeatLine, Note, Rest, Stroke
from tabtools.review.sequence import Pair, most_alike, pairs_in_order
from tabtools.timeline.spread import SlotInTime, free_positions, leaves, positions, slot_sum

SAME_NOTES, SAME_PLACE, SAME_MOMENT, NOTHING_ALIKE = 3.0, 1.5, 1.0, 0.25
MOST_CELLS = 10_000


def blocks_of(*versions: Sequence[BeatLine]) -> list[tuple[range, ...]]:
    """The smallest blocks of lines, by index in each version, that share no count with each other, in order.

    Lines that stand in another order than their counts make one block.
    """
    spans = sorted(
        (line.first, line.last, side, index) for side, lines in enumerate(versions) for index, line in enumerate(lines)
    )
    found: list[list[list[int]]] = []
    end = -1
    for first, last, side, index in spans:
        if first > end:
            found.append([[] for _ in versions])
        end = max(end, last)
        found[-1][side].append(index)
    for side, lines in enumerate(versions):
        if [index for block in found for index in block[side]] != list(range(len(lines))):
            return [tuple(range(len(lines)) for lines in versions)]
    blocks = []
    starts = [0] * len(versions)
    for block in found:
        ends = [start + len(indices) for start, indices in zip(starts, block, strict=True)]
        blocks.append(tuple(map(range, starts, ends)))
        starts = ends
    return blocks


class StrokeAt(NamedTuple):
    """A stroke with its line and the line's index; its index and number within the line; its moment in the bar."""

    stroke: Stroke
    line: BeatLine
    line_index: int
    index: int  # type: ignore[assignment]  # a place on the line, not a tuple's index()
    moment: Fraction

    @property
    def number(self) -> int:
        return self.index + 1


class Beats(NamedTuple):
    """Lines of a bar that stand together: the index of the first, their strokes, and when what begins.

    `gaps` are the stretches in which something is played that is not heard yet, from when until when.

    `events` are strokes (True) and silences (False) with the moment each is written and played at; `end` is the
    moment the lines end, as far as they say so themselves.
    """

    at: int
    lines: tuple[BeatLine, ...]
    strokes: tuple[StrokeAt, ...]
    events: tuple[tuple[bool, Fraction, float], ...]
    end: Fraction
    gaps: tuple[tuple[Fraction, Fraction], ...]

    @property
    def unheard(self) -> list[Note]:
        """The stretches that are not heard, as notes."""
        return [one.stroke.notes[0] for one in self.strokes if one.stroke.notes[0].unheard]

    def is_in_gap(self, moment: Fraction) -> bool:
        return any(start <= moment < end for start, end in self.gaps)


def beats_of(bar: Bar, lines: range, meter: Meter, feel: Feel) -> Beats:
    """Some lines of a bar, in a meter and feel."""
    strokes: list[StrokeAt] = []
    events: list[tuple[bool, Fraction, float]] = []
    end = Fraction(0)
    for index in lines:
        line = bar.lines[index]
        places = _places_in_time(bar, index, meter, feel)
        number = 0
        for slot, place in zip(leaves(line.slots), places, strict=True):
            if isinstance(slot, Stroke):
                strokes.append(StrokeAt(slot, line, index, number, place.offset))
                events.append((True, place.offset, place.played))
                number += 1
            elif isinstance(slot, Rest) and (not events or events[-1][0]):
                events.append((False, place.offset, place.played))
        end = max([end, *(place.offset + place.length for place in places)])
    return Beats(
        lines.start,
        bar.lines[lines.start : lines.stop],
        tuple(strokes),
        tuple(events),
        end,
        _gaps(strokes, events, end),
    )


def _gaps(
    strokes: Sequence[StrokeAt], events: Sequence[tuple[bool, Fraction, float]], end: Fraction
) -> tuple[tuple[Fraction, Fraction], ...]:
    starts = [one.moment for one in strokes if one.stroke.notes[0].unheard]
    return tuple((start, min((at for _, at, _ in events if at > start), default=end)) for start in starts)


def _places_in_time(bar: Bar, index: int, meter: Meter, feel: Feel) -> tuple[SlotInTime, ...]:
    """In quarter notes; in a free bar in shares."""
    line = bar.lines[index]
    if bar.free is None:
        return positions(line, line.first - 1, meter, feel)
    before = Fraction(sum(slot_sum(one) for one in bar.lines[:index]))
    return free_positions(line, before, Fraction(slot_sum(line)), meter)


def same_moments(before: Beats, after: Beats, pairs: Sequence[Pair]) -> bool:
    """Whether the same strokes and silences begin at the same moments, however the lines divide the time."""
    everything = [(index, index) for index in range(len(before.strokes))]
    return (
        pairs == everything
        and len(before.strokes) == len(after.strokes)
        and before.events == after.events
        and before.end == after.end
    )


def same_beside_gaps(before: Beats, after: Beats) -> bool:
    """Whether all that begins outside the gaps of both does so at the same moments."""

    def beside(side: Beats) -> list[tuple[bool, Fraction, float]]:
        return [one for one in side.events if not before.is_in_gap(one[1]) and not after.is_in_gap(one[1])]

    return before.end == after.end and beside(before) == beside(after)


def has_gap_beside(side: Beats, other: Beats) -> bool:
    """Whether something of what is not heard on one side lies outside the gaps of the other."""
    moments = {moment for gap in (*side.gaps, *other.gaps) for moment in gap}
    return any(side.is_in_gap(moment) and not other.is_in_gap(moment) for moment in moments)


Pitches = Callable[[Sequence[Note]], frozenset[float]]
"""Where notes arrive, as MIDI numbers."""


def stroke_pairs(
    old: Sequence[StrokeAt], new: Sequence[StrokeAt], old_pitches: Pitches, new_pitches: Pitches
) -> list[Pair]:
    """Indices of the strokes that are the same, in order: the same notes first, then places, then moments.

    A stroke whose place is open has its pitches instead. Under a doubtful count a moment says nothing.
    """
    places = _places_or_pitches(old, new, old_pitches, new_pitches)

    def likeness(i: int, j: int) -> float:
        is_same_moment = old[i].moment == new[j].moment and not (old[i].line.doubtful or new[j].line.doubtful)
        alike = SAME_MOMENT if is_same_moment else NOTHING_ALIKE
        if old[i].stroke.notes == new[j].stroke.notes:
            return alike + SAME_NOTES
        return alike + SAME_PLACE * (not places[0][i].isdisjoint(places[1][j]))

    if len(old) * len(new) <= MOST_CELLS:
        return most_alike((0, len(old), 0, len(new)), likeness)
    old_notes, new_notes = ([one.stroke.notes for one in side] for side in (old, new))
    return pairs_in_order(old_notes, new_notes, likeness, lambda i, j: True)


def same_in_order(old: Sequence[StrokeAt], new: Sequence[StrokeAt], old_pitches: Pitches, new_pitches: Pitches) -> bool:
    """Whether the same is played, stroke by stroke, whatever its rhythm: the same notes, places or open pitches."""
    if len(old) != len(new):
        return False
    was, now = _places_or_pitches(old, new, old_pitches, new_pitches)
    return all(
        one.stroke.notes == other.stroke.notes or not was[index].isdisjoint(now[index])
        for index, (one, other) in enumerate(zip(old, new, strict=True))
    )


_Place = tuple[Hashable, ...]


def _places_or_pitches(
    old: Sequence[StrokeAt], new: Sequence[StrokeAt], old_pitches: Pitches, new_pitches: Pitches
) -> list[list[set[_Place]]]:
    """The places of each stroke of both sides; where some are open, also the pitches."""
    places: list[list[set[_Place]]] = [[_places(one.stroke) for one in side] for side in (old, new)]
    if any(note.is_open for side in (old, new) for one in side for note in one.stroke.notes):
        for found, side, pitches in zip(places, (old, new), (old_pitches, new_pitches), strict=True):
            for own, one in zip(found, side, strict=True):
                own.update((midi,) for midi in pitches(one.stroke.notes))
    return places


def _places(stroke: Stroke) -> set[_Place]:
    return {(note.string, note.fret, note.touch) for note in stroke.notes if not note.is_open}


def note_pairs(
    old: Sequence[Note],
    new: Sequence[Note],
    old_strings: Sequence[int | None],
    new_strings: Sequence[int | None],
    old_pitches: Pitches,
    new_pitches: Pitches,
) -> list[Pair]:
    """Indices of the notes of two strokes that are the same: equal ones, an open one and those of a chord that was
    placed elsewhere by their pitch, then by string, the rest as written."""
    is_moved = 1 < len(old) == len(new) and old_pitches(old) == new_pitches(new)

    def same_pitch(i: int, j: int) -> bool:
        is_by_pitch = is_moved or old[i].is_open or new[j].is_open
        return is_by_pitch and not old_pitches([old[i]]).isdisjoint(new_pitches([new[j]]))

    rules: tuple[Callable[[int, int], bool], ...] = (
        lambda i, j: old[i] == new[j],
        same_pitch,
        lambda i, j: old_strings[i] == new_strings[j],
        lambda i, j: True,
    )
    pairs: list[Pair] = []
    for is_same in rules:
        pairs.extend(_next_pairs(len(old), len(new), pairs, is_same))
    return sorted(pairs, key=lambda pair: pair[1])


def _next_pairs(old: int, new: int, taken: list[Pair], is_same: Callable[[int, int], bool]) -> Iterator[Pair]:
    free = [i for i in range(old) if i not in {i for i, _ in taken}]
    for j in range(new):
        if j not in {j for _, j in taken}:
            i = next((i for i in free if is_same(i, j)), None)
            if i is not None:
                free.remove(i)
                yield i, j
