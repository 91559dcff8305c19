"""Pieces put one behind another as the items of a solo: what held before a bar is written out where it no longer
does, and repeats are written as few lines as they can be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from tabtools.model.rhythm import Meter
from tabtools.model.solo import (
    NO_COMMENTS,
    Bar,
    BeatLine,
    ChordMark,
    Comments,
    Count,
    Header,
    Item,
    Like,
    Note,
    Passage,
    Section,
    Stroke,
    first_number,
)
from tabtools.renumbering.pieces import Cell, PlayedBar, bar_played, is_at_start

_NO_CHORD = ChordMark("NC")
_PERMISSION = "# allow "


@dataclass(frozen=True, slots=True)
class _RepeatedBar:
    """A bar that will be part of a `like` line; `chords` are None where its line gives none."""

    cell: Cell
    number: int
    source: int
    chords: tuple[ChordMark, ...] | None
    before: ChordMark | None


class LaidOut:
    """Items one after another. `facts` say how each bar was played, by its old number."""

    def __init__(self, header: Header, facts: Mapping[int, PlayedBar]):
        self._facts = facts
        self._items: list[Item] = []
        self._repeats: list[_RepeatedBar] = []
        self._known: dict[int, PlayedBar] = {}
        self._stands: dict[int, int] = {}
        self._cells: dict[int, Cell] = {}
        self._commented: set[int] = set()
        self._meter, self._tempo = header.meter, header.tempo
        self._chord: ChordMark | None = None
        self.written_out: list[int] = []

    def put(self, item: Section | Passage) -> None:
        """A section or passage, as it is."""
        self._write_repeats()
        self._items.append(item)

    def put_new(self, number: int) -> None:
        """A bar of which nothing is known yet."""
        self._write_repeats()
        bar = unheard_bar(number, self._meter)
        self._items.append(bar)
        self._go_on(Cell(number, bar))

    def put_bar(self, cell: Cell, number: int) -> None:
        """A bar that was there, under its new number."""
        self._cells[cell.number] = cell
        if isinstance(cell.item, Bar):
            self._write(cell, number, cell.item)
        elif (repeat := self._as_repeat(cell, cell.item, number)) is not None:
            self._repeats.append(repeat)
            self._go_on(Cell(number, _like([repeat], 1)))
        else:
            fact = self._facts[cell.number]
            lines = tuple(replace(line, comments=NO_COMMENTS) for line in fact.written.lines)
            self.written_out.append(number)
            self._stand_in(cell, number)
            chords = tuple(_within_bar(mark) for mark in fact.chords)
            self._write(cell, number, Bar(number, chords, lines, free=fact.written.free))
        self._stands[cell.number] = number

    def finished(self) -> tuple[Item, ...]:
        """All that was put."""
        self._write_repeats()
        return tuple(self._items)

    # ---- bars written out

    def _stand_in(self, cell: Cell, number: int) -> None:
        """Let what repeats the bar that a bar repeated, which is not there, repeat this one."""
        while isinstance(cell.item, Like):
            source = cell.item.source_of(cell.number)
            self._stands.setdefault(source, number)
            if source not in self._cells:
                break
            cell = self._cells[source]

    def _write(self, cell: Cell, number: int, bar: Bar) -> None:
        """A bar of its own, with the chord, meter and tempo that held for it where others would now."""
        self._write_repeats()
        fact = self._facts[cell.number]
        chords = bar.chords
        if not fact.begins_with_own_chord and not same_chord(fact.before, self._chord):
            chords = (replace(fact.before or _NO_CHORD, at=None), *chords)
        bar = replace(
            bar,
            number=number,
            chords=chords,
            meter=bar.meter or (fact.meter if fact.meter != self._meter else None),
            tempo=bar.tempo or (fact.tempo if fact.tempo != self._tempo else None),
            comments=self._comments_of(cell),
        )
        self._items.append(bar)
        self._go_on(Cell(number, bar))

    def _go_on(self, cell: Cell) -> None:
        """Remember what a bar that was put leaves behind."""
        one = bar_played(cell, self._known, self._chord, self._meter, self._tempo)
        self._known.setdefault(cell.number, one)
        self._meter, self._tempo, self._chord = one.meter, one.tempo, one.last_chord

    def _comments_of(self, cell: Cell) -> Comments:
        """The comments of a bar's item: all with the first of its bars, permissions with the others too."""
        comments, key = cell.item.comments, first_number(cell.item)
        if key not in self._commented:
            self._commented.add(key)
            return comments
        return Comments(above=tuple(one for one in comments.all() if one.text.startswith(_PERMISSION)))

    # ---- bars that repeat others

    def _as_repeat(self, cell: Cell, like: Like, number: int) -> _RepeatedBar | None:
        """A bar as a repeat of one above it; None where none is there that would play the same."""
        fact = self._facts[cell.number]
        chords = cell.own_chords
        source = like.source_of(cell.number)
        while source not in self._stands:
            further = self._cells.get(source)
            if further is None or isinstance(further.item, Bar):
                return None
            source = further.item.source_of(source)
        if chords is not None:
            chords = tuple(_within_bar(mark) for mark in chords)
            if not fact.begins_with_own_chord and not same_chord(fact.before, self._chord):
                chords = (replace(fact.before or _NO_CHORD, at=None), *chords)
        repeat = _RepeatedBar(cell, number, self._stands[source], chords, self._chord)
        again = bar_played(Cell(number, _like([repeat], 1)), self._known, self._chord, self._meter, self._tempo)
        return repeat if plays_alike(again, fact) else None

    def _write_repeats(self) -> None:
        waiting, self._repeats = self._repeats, []
        while waiting:
            length, times = _stretch(waiting)
            taken, waiting = waiting[: length * times], waiting[length * times :]
            self._items.append(replace(_like(taken, length), comments=self._comments_of(taken[0].cell)))


def _stretch(waiting: list[_RepeatedBar]) -> tuple[int, int]:
    """How long a stretch the first of these repeat, and how many times, in one line."""
    length, seams = 1, 0
    while length < len(waiting) and waiting[length].source == waiting[0].source + length < waiting[0].number:
        joined = _joined(waiting[length - 1], waiting[length])
        if joined is None:
            break
        length, seams = length + 1, seams + (joined == "seam")
    times = 1
    while _comes_again(waiting, length, times, seams > 0):
        times += 1
    return length, times


def _comes_again(waiting: list[_RepeatedBar], length: int, times: int, has_seams: bool) -> bool:
    """Whether a stretch that was repeated so many times comes once more, in the same line."""
    here = range(length * times, length * (times + 1))
    if here.stop > len(waiting) or any(waiting[at].source != waiting[at - length].source for at in here):
        return False
    joined = [_joined(waiting[at - 1], waiting[at]) for at in here]
    before, one = waiting[here.start - 1], waiting[here.start]
    is_seam = has_seams or "seam" in joined[1:] or one.cell.number != before.cell.number + 1
    is_whole = joined[0] is not None or (is_seam and _is_plain(before, one))
    return is_whole and None not in joined[1:]


def _joined(before: _RepeatedBar, one: _RepeatedBar) -> Literal["line", "seam", None]:
    """How a repeat stands in one line with the one before it: it did so before, or a bar between them is gone."""
    if one.cell.item == before.cell.item and one.cell.number == before.cell.number + 1:
        return "line"
    is_seam = one.cell.number != before.cell.number + 1 or _source(one) > _source(before) + 1
    goes_on = one.source == before.source + 1
    return "seam" if is_seam and goes_on and _is_plain(before, one) else None


def _source(repeat: _RepeatedBar) -> int:
    """The bar it repeated before."""
    return repeat.cell.item.source_of(repeat.cell.number) if isinstance(repeat.cell.item, Like) else 0


def _is_plain(before: _RepeatedBar, one: _RepeatedBar) -> bool:
    """Whether one line could say both: no comment would be lost, and both or neither have chords of their own."""
    permissions = {comment.text for comment in before.cell.item.comments.all()}
    has_nothing_to_say = all(comment.text in permissions for comment in one.cell.item.comments.all())
    return has_nothing_to_say and (one.chords is None) == (before.chords is None)


def _like(repeats: list[_RepeatedBar], length: int) -> Like:
    """One line for bars that repeat a stretch of so many."""
    first, source = repeats[0].number, repeats[0].source
    chords: list[ChordMark] = []
    for repeat in repeats:
        is_first = repeat.number == first
        for mark in repeat.chords or ():
            if not is_first and _says_what_holds(repeat):
                continue
            count = mark.at or Count(1)
            at = mark.at if is_first else Count(count.count, count.half, repeat.number)
            chords.append(replace(mark, at=at))
    if repeats[0].chords is not None and not chords:
        chords = [replace(repeats[0].before or _NO_CHORD, at=None)]
    return Like(first, repeats[-1].number, source, source + length - 1, tuple(chords))


def _says_what_holds(repeat: _RepeatedBar) -> bool:
    """Whether the line of a repeat was given a chord only because it had none of its own."""
    like = repeat.cell.item
    is_given = len(like.chords) == 1 and like.chords[0].at is None and repeat.cell.number == first_number(like)
    return is_given and same_chord(like.chords[0], repeat.before)


def _within_bar(mark: ChordMark) -> ChordMark:
    """A chord of a repeat as it stands on the line of its bar alone."""
    if mark.at is None or mark.at.bar is None:
        return mark
    at = Count(mark.at.count, mark.at.half)
    return replace(mark, at=None if at == Count(1) else at)


# ---- bars compared


def same_chord(one: ChordMark | None, other: ChordMark | None) -> bool:
    """Whether two chords sound the same and are as certain; no chord yet is `NC`."""
    return _sounding(one) == _sounding(other)


def _sounding(mark: ChordMark | None) -> tuple[str, bool]:
    return ("NC", False) if mark is None or mark.symbol in ("NC", "N.C.") else (mark.symbol, mark.doubtful)


def plays_alike(one: PlayedBar, other: PlayedBar) -> bool:
    """Whether two bars are played alike, over the same chords."""
    return (
        [replace(line, comments=NO_COMMENTS) for line in one.written.lines]
        == [replace(line, comments=NO_COMMENTS) for line in other.written.lines]
        and one.written.free == other.written.free
        and (one.meter, one.tempo) == (other.meter, other.tempo)
        and same_chord(one.first_chord, other.first_chord)
        and _changes(one) == _changes(other)
    )


def _changes(played: PlayedBar) -> list[tuple[Count, tuple[str, bool]]]:
    """The chords that begin within a bar."""
    later = [mark for mark in played.chords if not is_at_start(mark, played.written)]
    return [(Count(mark.at.count, mark.at.half), _sounding(mark)) for mark in later if mark.at is not None]


def unheard_bar(number: int, meter: Meter) -> Bar:
    """A bar that nobody made out yet."""
    stretch = Stroke((Note(None, None, unheard=True),))
    return Bar(number, lines=(BeatLine(1, meter.counts, (stretch,)),))
