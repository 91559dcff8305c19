"""Plain tab: a line a string, counts and chords above, for a terminal or for pasting into a message.

Notes whose string is not known stand on rows of their own over the strings, the highest on top. Where something is
not known yet, a legend below says what its sign means. A bar of which lines cannot be read says so; one of which
nothing can be read has no strings.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from tabtools.model.solo import Note, Rest, Stroke
from tabtools.notation.write import played_text, reading_text
from tabtools.reports.open_signs import legend
from tabtools.timeline import TimedBar, TimedLine, TimedNote, Timeline
from tabtools.timeline.slots import slots_in_time
from tabtools.timeline.spread import SlotInTime, leaves

WIDTH = 80
MAX_STRETCH = 3
LEAD = BAR_LINE = 1
UNTIL, ON = "until", "on"
UNHEARD = "_"
Label = Callable[[TimedNote], str]
"""A note to what stands under it."""
_Struck = dict[tuple[int, int], list[TimedNote]]
"""The notes of a bar by when they begin in it, in quarter notes, as a fraction's two numbers."""


@dataclass
class _TabPiece:
    """A run of columns that stays together: the rows above the strings, the strings, the rows below."""

    chords: str
    counts: str
    stringless: list[str]
    strings: list[str]
    below: list[str]
    opens_bar: bool
    title: str = ""
    string: str = "-"

    @property
    def width(self) -> int:
        return len(self.strings[0])

    def widened(self, more: int) -> _TabPiece:
        """The piece with so many more columns in which nothing is struck."""
        return replace(self, strings=[row + self.string * more for row in self.strings])


@dataclass
class _Column:
    """One moment: what stands on each string, over and under it.

    `stringless` is what is played on no string that is known, from top to bottom. It is `width` characters wide, with
    the space behind it. `unheard` says that something is
    played all through it that is not heard: UNTIL its end, or ON in the next column.
    """

    cells: dict[int, str] = field(default_factory=dict)
    stringless: list[str] = field(default_factory=list)
    unheard: str = ""
    chord: str = ""
    count: str = ""
    below: list[str] = field(default_factory=list)
    length: Fraction = Fraction(0)
    width: int = 0


def plain_tab(
    timeline: Timeline,
    bars: Iterable[TimedBar] | None = None,
    label: Label | None = None,
    width: int = WIDTH,
    more_signs: Sequence[tuple[str, str]] = (),
) -> str:
    """The tab of these bars (all of them by default), broken into systems of at most `width` characters.

    `label` says what stands under each note; the notes of a stroke have their labels one below the other,
    highest string first. `more_signs` stand in the legend behind those of the tab, each with its meaning.
    """
    names = _string_names(timeline)
    by_bar: dict[int, list[TimedNote]] = {}
    for note in timeline.notes:
        by_bar.setdefault(note.address.bar, []).append(note)
    room = width - len(names[0]) - 1
    pieces: list[_TabPiece] = []
    stretches = [note for note in timeline.notes if note.note.unheard]
    shown = list(timeline.bars if bars is None else bars)
    for bar in shown:
        own = by_bar.get(bar.number, [])
        pieces.extend(_titled(bar, list(_pieces(bar, own, stretches, len(names), label, room - LEAD - BAR_LINE))))
    systems = [_system(system, names) for system in _systems(pieces, room)]
    signs = legend(shown, [note for bar in shown for note in by_bar.get(bar.number, [])], more_signs)
    return "\n\n".join([*systems, *filter(None, [signs])])


def _string_names(timeline: Timeline) -> list[str]:
    names = [name.rstrip("0123456789-") for name in reversed(timeline.solo.header.instrument.tuning.names)]
    longest = max(len(name) for name in names)
    return [name.ljust(longest) for name in names]


def _titled(bar: TimedBar, pieces: list[_TabPiece]) -> list[_TabPiece]:
    """The pieces of a bar with its title, at least as wide as that."""
    title = f"bar {bar.number}"
    if bar.written.damaged:
        title += ", incomplete" if bar.lines else ", cannot be read"
    elif not bar.lines:
        title += ", empty"
    width = sum(piece.width + LEAD for piece in pieces) + BAR_LINE
    if width <= len(title):
        pieces[-1] = pieces[-1].widened(len(title) + 1 - width)
    for piece in pieces:
        piece.title = title
    return pieces


def _pieces(
    bar: TimedBar,
    notes: list[TimedNote],
    stretches: Sequence[TimedNote],
    strings: int,
    label: Label | None,
    room: int,
) -> Iterator[_TabPiece]:
    """A piece for each line of a bar; a line that is wider than `room` breaks between its slots."""
    struck: _Struck = {}
    for note in notes:
        struck.setdefault(note.begins.offset.as_integer_ratio(), []).append(note)
    chords = [(chord.onset, chord.mark.symbol + "?" * chord.mark.doubtful) for chord in reversed(bar.chords)]
    slots = [slots_in_time(bar, line) for line in bar.lines]
    more = _stretched([place.length for places in slots for place in places])
    opens_bar = True
    for timed, places in zip(bar.lines, slots, strict=True):
        columns: list[_Column] = []
        used = 0
        for column in _columns(timed, bar, places, struck, chords, stretches, label):
            column.width = _width(column) + more[column.length.as_integer_ratio()]
            if columns and used + column.width > room:
                yield _drawn(columns, strings, opens_bar)
                columns, opens_bar, used = [], False, 0
            columns.append(column)
            used += column.width
        yield _drawn(columns, strings, opens_bar)
        opens_bar = False
    if opens_bar:
        string = " " if bar.written.damaged else "-"
        said = _said_until(chords, None)
        yield _drawn([_Column(chord=said, width=len(said) + 1)], strings, opens_bar, string)


def _said_until(chords: list[tuple[Fraction, str]], onset: Fraction | None) -> str:
    """The chords that begin before `onset`, taken off the end of a list that runs backwards."""
    said: list[str] = []
    while chords and (onset is None or chords[-1][0] < onset):
        said.append(chords.pop()[1])
    return " ".join(said)


def _columns(
    timed: TimedLine,
    bar: TimedBar,
    places: Sequence[SlotInTime],
    struck: _Struck,
    chords: list[tuple[Fraction, str]],
    stretches: Sequence[TimedNote],
    label: Label | None,
) -> Iterator[_Column]:
    line = timed.line
    count = f"{line.first}" if line.first == line.last else f"{line.first}-{line.last}"
    count += "?" * line.doubtful
    for slot, place in zip(leaves(line.slots), places, strict=True):
        said = _said_until(chords, bar.onset + place.offset + place.length) if chords else ""
        unheard = _unheard(stretches, bar.onset + place.offset, place.length) if stretches else ""
        column = _Column(chord=said, count=count, length=place.length, unheard=unheard)
        count = ""
        if isinstance(slot, Stroke):
            notes = sorted(struck.get(place.offset.as_integer_ratio(), []), key=_from_the_top)
            column.cells = {note.string: cell(note.note) for note in notes if note.string}
            column.stringless = [cell(note.note) for note in notes if not note.string]
            if label is not None:
                column.below = [label(note) for note in notes]
        elif isinstance(slot, Rest):
            column.below = ["."] if label is not None else []
        yield column


def _unheard(stretches: Sequence[TimedNote], onset: Fraction, length: Fraction) -> str:
    """Whether a stretch that is not heard takes in this moment, and where it ends."""
    place = bisect_right(stretches, onset, key=lambda note: note.onset) - 1
    if place < 0 or stretches[place].release <= onset:
        return ""
    return ON if stretches[place].release > onset + length else UNTIL


def _from_the_top(note: TimedNote) -> tuple[int, float]:
    """The order of the notes of a stroke from top to bottom: first those without a string, the highest first."""
    return note.string, -(note.midi or 0)


def cell(note: Note) -> str:
    """A note as plain tab writes it: the note's own text without its string, its marks and what was heard."""
    others = [f"({reading_text(other)})" for other in note.others]
    return played_text(note, with_string=False) + "?" * note.unsure + "".join(others)


def _stretched(lengths: Iterable[Fraction]) -> dict[tuple[int, int], int]:
    """By how much each of the lengths in a bar, as a fraction's two numbers, is drawn wider than the shortest."""
    each = {length.as_integer_ratio(): length for length in lengths}
    shortest = min(each.values(), default=Fraction(1))
    return {ratio: min(MAX_STRETCH, length // shortest - 1) for ratio, length in each.items()}


def _width(column: _Column) -> int:
    """The room that what stands in a column takes."""
    return max(map(len, (*column.cells.values(), *column.stringless, *column.below, column.count, column.chord))) + 1


def _drawn(columns: list[_Column], strings: int, opens_bar: bool, line: str = "-") -> _TabPiece:
    height = max(len(column.stringless) or bool(column.unheard) for column in columns)
    depth = max(len(column.below) for column in columns)
    over = [_over_strings(column, height) for column in columns]
    stringless = ["".join([rows[row] for rows in over]) for row in range(height)]
    rows = [
        "".join([column.cells.get(string, "").ljust(column.width, line) for column in columns])
        for string in range(1, strings + 1)
    ]
    below = [
        "".join([(column.below[row] if row < len(column.below) else "").ljust(column.width) for column in columns])
        for row in range(depth)
    ]
    chords = "".join([column.chord.ljust(column.width) for column in columns])
    counts = "".join([column.count.ljust(column.width) for column in columns])
    return _TabPiece(chords, counts, stringless, rows, below, opens_bar, string=line)


def _over_strings(column: _Column, height: int) -> list[str]:
    """So many rows of a column over the strings; what is not heard is a line on the lowest."""
    if not height:
        return []
    *rows, lowest = [""] * (height - len(column.stringless)) + column.stringless
    if column.unheard:
        lowest = lowest.ljust(column.width - (column.unheard == UNTIL), UNHEARD)
    return [row.ljust(column.width) for row in (*rows, lowest)]


def _systems(pieces: list[_TabPiece], room: int) -> Iterator[list[_TabPiece]]:
    """Break at bars; a bar that is wider than a system alone breaks at its lines."""
    system: list[_TabPiece] = []
    used = 0
    for bar in _by_bar(pieces):
        widths = [piece.width + LEAD for piece in bar]
        if system and used + sum(widths) + BAR_LINE > room:
            yield system
            system, used = [], 0
        for piece, width in zip(bar, widths, strict=True):
            if system and used + width + BAR_LINE > room:
                yield system
                system, used = [], 0
            system.append(piece)
            used += width
        used += BAR_LINE
    if system:
        yield system


def _by_bar(pieces: list[_TabPiece]) -> Iterator[list[_TabPiece]]:
    bar: list[_TabPiece] = []
    for piece in pieces:
        if piece.opens_bar and bar:
            yield bar
            bar = []
        bar.append(piece)
    if bar:
        yield bar


def _system(system: list[_TabPiece], names: list[str]) -> str:
    margin = " " * (len(names[0]) + 1)
    height = max(len(piece.stringless) for piece in system)
    depth = max(len(piece.below) for piece in system)
    numbers = chords = counts = margin
    stringless = [margin] * height
    strings = [f"{name}|" for name in names]
    below = [margin] * depth
    for index, piece in enumerate(system):
        ends_bar = index + 1 == len(system) or system[index + 1].opens_bar
        bar_line = "|" if ends_bar else ""
        if piece.opens_bar or index == 0:
            apart = " " * (len(numbers) > len(counts))
            numbers = numbers.ljust(len(counts)) + apart + piece.title
        chords += " " + piece.chords.ljust(piece.width) + bar_line.replace("|", " ")
        counts += " " + piece.counts.ljust(piece.width) + bar_line.replace("|", " ")
        blank = [" " * piece.width] * (height - len(piece.stringless))
        for row, text in enumerate([*blank, *piece.stringless]):
            stringless[row] += " " + text.ljust(piece.width) + bar_line.replace("|", " ")
        strings = [f"{row}{piece.string}{piece.strings[at]}{bar_line}" for at, row in enumerate(strings)]
        for row in range(depth):
            text = piece.below[row] if row < len(piece.below) else ""
            below[row] += " " + text.ljust(piece.width) + bar_line.replace("|", " ")
    rows = [numbers, chords, counts, *stringless, *strings, *below]
    return "\n".join(row.rstrip() for row in rows if row.strip())
