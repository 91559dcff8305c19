"""A solo in pieces that can be put in another order: sections, passages, and every bar by itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from tabtools.model.rhythm import Meter
from tabtools.model.solo import Bar, ChordMark, Header, Item, Like, Passage, Section, numbers_of


@dataclass(frozen=True, slots=True)
class Cell:
    """One bar as it is played: `item` writes it, `number` is the one it has there; a new bar has a number below 0."""

    number: int
    item: Bar | Like

    @property
    def own_chords(self) -> tuple[ChordMark, ...] | None:
        """The chords its line gives it; None for a repeated bar whose line gives none, so that the old ones hold."""
        return self.item.chords if isinstance(self.item, Bar) else self.item.chords_of(self.number)


Piece = Cell | Section | Passage


def in_pieces(items: Sequence[Item]) -> list[Piece]:
    """The pieces of a solo in written order."""
    pieces: list[Piece] = []
    for item in items:
        if isinstance(item, Bar | Like):
            pieces.extend(Cell(number, item) for number in numbers_of(item))
        else:
            pieces.append(item)
    return pieces


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """How a bar is played: what is written in it, its chords, and what holds when it begins.

    `before` is the chord that sounds on from the bar before, as far as the bar does not begin with one of its own.
    """

    written: Bar
    chords: tuple[ChordMark, ...]
    before: ChordMark | None
    meter: Meter
    tempo: Fraction

    @property
    def begins_with_own_chord(self) -> bool:
        """Whether a chord of its own stands on its first count."""
        return bool(self.chords) and is_at_start(self.chords[0], self.written)

    @property
    def first_chord(self) -> ChordMark | None:
        """The chord that sounds when it begins."""
        return self.chords[0] if self.begins_with_own_chord else self.before

    @property
    def last_chord(self) -> ChordMark | None:
        """The chord that sounds when it ends."""
        return self.chords[-1] if self.chords else self.before


def is_at_start(mark: ChordMark, written: Bar) -> bool:
    """Whether a chord stands on the first count of its bar."""
    first = min((line.first for line in written.lines), default=1) if written.number == 0 else 1
    return mark.at is None or (mark.at.count <= first and not mark.at.half)


def played(header: Header, cells: Sequence[Cell]) -> Iterator[PlayedBar]:
    """How each bar is played, as `timeline.unroll` has it. The bars that others repeat stand before them."""
    known: dict[int, PlayedBar] = {}
    meter, tempo = header.meter, header.tempo
    chord: ChordMark | None = None
    for cell in cells:
        one = bar_played(cell, known, chord, meter, tempo)
        known.setdefault(cell.number, one)
        meter, tempo, chord = one.meter, one.tempo, one.last_chord
        yield one


def bar_played(
    cell: Cell, known: dict[int, PlayedBar], chord: ChordMark | None, meter: Meter, tempo: Fraction
) -> PlayedBar:
    """How one bar is played behind others; `known` are those it may repeat."""
    own = cell.own_chords
    if isinstance(cell.item, Bar):
        written = cell.item
        return PlayedBar(written, own or (), chord, written.meter or meter, written.tempo or tempo)
    source = known[cell.item.source_of(cell.number)]
    chords, before = (source.chords, source.before) if own is None else (own, chord)
    return PlayedBar(source.written, chords, before, source.meter, source.written.tempo or tempo)
