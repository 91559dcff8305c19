"""From counts and slots to written rhythm: note values, dots, ties, tuplets, beams.

A slot's written value follows from its line: slots that share a beat evenly in halves, quarters and so on are
plain values; any other number of slots is a tuplet over the values it stands for (seven slots on a quarter are
a septuplet of sixteenths). What goes on sounding over a beat is tied, unless one value can be read there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import NamedTuple

from tabtools.model.rhythm import Meter
from tabtools.model.solo import Group, Rest, Slot, Stroke

NOTE, TIED, REST = "note", "tied", "rest"
SMALLEST = Fraction(1, 1024)


@dataclass(frozen=True)
class Symbol:
    """One written value. Times are in quarter notes from the start of the bar.

    `value` counts halvings of the whole note (2 is a quarter, 3 an eighth). `stroke` is the number of the
    stroke in the bar, None for a rest and for what is tied. `tuplets` are the tuplets it stands in, outermost
    first; `beam` is shared by the symbols under one beam.
    """

    kind: str
    onset: Fraction
    length: Fraction
    value: int
    dots: int
    stroke: int | None
    tuplets: tuple[int, ...] = ()
    beam: int | None = None
    fills_bar: bool = False

    @cached_property
    def moment(self) -> float:
        """The onset as a float, for measuring the page."""
        return float(self.onset)


@dataclass(frozen=True, slots=True)
class Tuplet:
    """A tuplet from symbol `first` to symbol `last`, and the figure that stands by it."""

    text: str
    first: int
    last: int


class Rhythm(NamedTuple):
    """The written rhythm of a bar; `sounds_on` says whether something sounds as it ends."""

    symbols: tuple[Symbol, ...]
    tuplets: tuple[Tuplet, ...]
    sounds_on: bool

    @property
    def is_silent(self) -> bool:
        """Whether one rest fills the bar."""
        return any(symbol.fills_bar for symbol in self.symbols)


class LineShape(NamedTuple):
    """A beat line without its notes: the counts it fills and how its slots divide them."""

    first: int
    last: int
    slots: tuple


def shape_of(slots: tuple[Slot, ...]) -> tuple:
    """Slots as nested (kind or inner slots, weight)."""
    return tuple([(_kind(slot), slot.weight) for slot in slots])


def _kind(slot: Slot):
    if type(slot) is Stroke:
        return NOTE
    if type(slot) is Group:
        return shape_of(slot.slots)
    return REST if type(slot) is Rest else TIED


class _Piece(NamedTuple):
    kind: str
    onset: Fraction
    length: Fraction
    written: Fraction
    tuplets: tuple[tuple[int, str], ...]
    stroke: int | None


@lru_cache(maxsize=2048)
def bar_rhythm(
    lines: tuple[LineShape, ...], meter: Meter, first_count: int, length: Fraction, sounding: bool
) -> Rhythm:
    """The written rhythm of a bar of `length`, from its first count on.

    `sounding` says whether something is tied into it.
    """
    pieces: list[_Piece] = []
    stretches = tuple(
        ((line.first - first_count) * meter.beat, (line.last - line.first + 1) * meter.beat) for line in lines
    )
    for line, (onset, lasting) in zip(lines, stretches, strict=True):
        _divide(line.slots, onset, lasting, lasting, (), pieces)
    pieces = _settled(pieces, sounding)
    if pieces and all(piece.kind == REST for piece in pieces):
        return Rhythm((Symbol(REST, Fraction(0), length, 0, 0, None, fills_bar=True),), (), False)
    grid = _Grid(meter, (first_count - 1) * meter.beat, stretches)
    symbols: list[Symbol] = []
    homes: list[int] = []
    spans: dict[int, list] = {}
    for run in _runs(pieces):
        tied = False
        for piece in run:
            for onset, real, written in _values(piece, grid):
                kind = TIED if tied and piece.kind != REST else piece.kind
                value, dots = _value(written)
                stroke = piece.stroke if kind == NOTE else None
                numbers = tuple(one for one, _ in piece.tuplets)
                for one, text in piece.tuplets:
                    spans.setdefault(one, [text, len(symbols), len(symbols)])[2] = len(symbols)
                symbols.append(Symbol(kind, onset, real, value, dots, stroke, numbers))
                homes.append(grid.beam_home(onset))
                tied = True
    tuplets = tuple(Tuplet(*spans[one]) for one in sorted(spans))
    order = {one: place for place, one in enumerate(sorted(spans))}
    symbols = [replace(one, tuplets=tuple(order[t] for t in one.tuplets)) for one in symbols]
    sounds_on = pieces[-1].kind != REST if pieces else sounding
    return Rhythm(tuple(_beamed(symbols, homes)), tuplets, sounds_on)


def _divide(
    slots: tuple,
    onset: Fraction,
    length: Fraction,
    written: Fraction,
    tuplets: tuple,
    pieces: list[_Piece],
) -> None:
    """The slots of a line or group as pieces: `length` is real time, `written` what stands on paper for it."""
    joined = _joined(slots)
    total = sum(weight for _, weight in joined)
    if len(joined) == 1:
        unit, inner = written / total, tuplets
    else:
        unit, figure = _unit(written, total)
        inner = (*tuplets, (8 * len(pieces) + len(tuplets), figure)) if figure else tuplets
    for kind, weight in joined:
        share = length * weight / total
        if isinstance(kind, tuple):
            _divide(kind, onset, share, unit * weight, inner, pieces)
        else:
            pieces.append(_Piece(kind, onset, share, unit * weight, inner, None))
        onset += share


def _joined(slots: tuple) -> list[tuple]:
    """Slots with what holds on added to what it holds, in the smallest whole weights."""
    joined: list[tuple] = []
    for kind, weight in slots:
        if joined and not isinstance(joined[-1][0], tuple) and kind == TIED:
            joined[-1] = (joined[-1][0], joined[-1][1] + weight)
        else:
            joined.append((kind, weight))
    divisor = 0
    for _, weight in joined:
        divisor = _gcd(divisor, weight)
    return [(kind, weight // divisor) for kind, weight in joined]


def _gcd(a: int, b: int) -> int:
    while b:
        a, b = b, a % b
    return a


@lru_cache(maxsize=1024)
def _unit(written: Fraction, shares: int) -> tuple[Fraction, str]:
    """The written value of one share, and the tuplet's figure where it is one."""
    unit = written / shares
    if _odd(unit.denominator) == 1 and unit.numerator in (1, 2, 3, 4, 6, 8):
        return unit, ""
    normal = _odd(written.numerator)
    while normal * 2 <= shares:
        normal *= 2
    plain = _odd(normal) == 1 and normal <= shares
    return written / normal, str(shares) if plain else f"{shares}:{normal}"


def _odd(value: int) -> int:
    while value % 2 == 0:
        value //= 2
    return value


def _settled(pieces: list[_Piece], sounding: bool) -> list[_Piece]:
    """A hold of silence is a rest; strokes are numbered."""
    settled = []
    strokes = 0
    for piece in pieces:
        if piece.kind == NOTE:
            piece = piece._replace(stroke=strokes)
            strokes += 1
            sounding = True
        elif piece.kind == REST:
            sounding = False
        elif not sounding:
            piece = piece._replace(kind=REST)
        settled.append(piece)
    return settled


def _runs(pieces: list[_Piece]) -> Iterator[list[_Piece]]:
    """What sounds or is silent in one go, as few pieces as may share a written value."""
    run: list[_Piece] = []
    for piece in pieces:
        goes_on = bool(run) and (piece.kind == TIED or piece.kind == run[-1].kind == REST)
        if not goes_on and run:
            yield run
            run = []
        if goes_on and piece.tuplets == run[-1].tuplets:
            last = run[-1]
            run[-1] = last._replace(length=last.length + piece.length, written=last.written + piece.written)
        else:
            run.append(piece)
    if run:
        yield run


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where values may start and end so that the beats can be seen; `lines` are onsets and lengths."""

    meter: Meter
    shift: Fraction
    lines: tuple[tuple[Fraction, Fraction], ...]

    @property
    def span(self) -> Fraction | None:
        """The time under one beam; None where only the lines tell it (a 7/8 counted in eighths)."""
        meter = self.meter
        if meter.is_compound and meter.denominator >= 8:
            return meter.beat
        if meter.denominator <= 4:
            return Fraction(1)
        grouped_by_line = any(length > meter.beat for _, length in self.lines)
        if meter.numerator % 3 == 0 and not grouped_by_line:
            return 3 * meter.beat
        return None

    def beam_home(self, onset: Fraction) -> int:
        """What a value shares its beam with: the others of its beat, or of its line."""
        span = self.span
        if span is not None:
            return int((onset + self.shift) // span)
        return max((place for place, (start, _) in enumerate(self.lines) if start <= onset), default=0)

    def shows(self, onset: Fraction, length: Fraction, rest: bool) -> bool:
        """Whether one value may stand there."""
        span = self.span
        if span is None:
            return self._within_lines(onset, length)
        start = onset + self.shift
        end = start + length
        if start // span == (end - SMALLEST) // span:
            return not rest or self.meter.is_compound or _odd(length.numerator) == 1
        if start % span:
            return False
        if self.meter.is_compound:
            return length % span == 0
        if rest:
            return _odd(length.numerator) == 1 and start % length == 0
        middle = self.meter.length / 2
        if self.meter.numerator % 4 == 0 and start < middle < end and start:
            return length in (2 * span, 3 * span)
        return True

    def _within_lines(self, onset: Fraction, length: Fraction) -> bool:
        starts = {start for start, _ in self.lines}
        crossed = [start for start in starts if onset < start < onset + length]
        ends = {start + lasting for start, lasting in self.lines}
        return not crossed or (onset in starts and onset + length in ends)


def _values(piece: _Piece, grid: _Grid) -> Iterator[tuple[Fraction, Fraction, Fraction]]:
    """(onset, real length, written length) of the values, tied together, that a piece is written with."""
    onset, left = piece.onset, piece.written
    scale = piece.length / piece.written
    while left > 0:
        part = _largest(left, onset, None if piece.tuplets else grid, piece.kind == REST)
        yield onset, part * scale, part
        onset += part * scale
        left -= part


def _largest(left: Fraction, onset: Fraction, grid: _Grid | None, rest: bool) -> Fraction:
    if _is_value(left) and (grid is None or grid.shows(onset, left, rest)):
        return left
    candidate = Fraction(16)
    while candidate > SMALLEST:
        for part in (candidate * 3 / 2, candidate):
            if part < left and (grid is None or grid.shows(onset, part, rest)):
                return part
        candidate /= 2
    return left


def _is_value(length: Fraction) -> bool:
    return _odd(length.denominator) == 1 and _odd(length.numerator) in (1, 3)


@lru_cache(maxsize=1024)
def _value(written: Fraction) -> tuple[int, int]:
    """(halvings of a whole note, dots): the nearest value where none fits exactly."""
    dots = 0
    if _odd(written.numerator) == 3:
        written, dots = written * 2 / 3, 1
    value = 0
    while Fraction(4) / 2**value > written and value < 12:
        value += 1
    if written >= 8:
        value = -1
    return value, dots


def _beamed(symbols: list[Symbol], homes: list[int]) -> Iterator[Symbol]:
    """Neighbours shorter than a quarter that share a beat, or a tuplet over several beats, share a beam."""
    reach: dict[int, set[int]] = {}
    for symbol, home in zip(symbols, homes, strict=True):
        if symbol.tuplets:
            reach.setdefault(symbol.tuplets[0], set()).add(home)
    beam = 0
    run: list[Symbol] = []
    run_home: object = None
    for symbol, home in zip(symbols, homes, strict=True):
        wide = bool(symbol.tuplets) and len(reach[symbol.tuplets[0]]) > 1
        key = ("tuplet", symbol.tuplets[0]) if wide else ("beat", home)
        joins = symbol.kind != REST and symbol.value >= 3
        if run and not (joins and key == run_home):
            yield from _closed(run, beam)
            beam += 1
            run = []
        if joins:
            run.append(symbol)
            run_home = key
        else:
            yield symbol
    if run:
        yield from _closed(run, beam)


def _closed(run: list[Symbol], beam: int) -> Iterator[Symbol]:
    if len(run) == 1:
        yield run[0]
    else:
        for symbol in run:
            yield replace(symbol, beam=beam)
