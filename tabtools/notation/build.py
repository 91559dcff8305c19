"""Lines to a solo: which line belongs to which bar, what its comments stand with, what cannot be."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TypedDict, TypeVar

from tabtools.model.rhythm import Meter
from tabtools.model.solo import (
    Bar,
    BeatLine,
    ChordMark,
    Comment,
    Comments,
    Field,
    Item,
    Like,
    Passage,
    Section,
    Solo,
)
from tabtools.notation import limits
from tabtools.notation.header import FieldValueError, read_header, read_meter, read_tempo
from tabtools.notation.lines import BarLine, Line, MeterEntry, NumberEntry, Remark, solo_grammar
from tabtools.notation.read import MisreadError
from tabtools.notation.unreadable import syntax_problem, without_overlong_lines, without_unreadable_lines
from tabtools.problem import Problem
from tabtools.source import SourceText, Span

LONGEST_FREE_BAR = 600

Commented = TypeVar("Commented", bound=Field | Section | Bar | BarLine | BeatLine | Like | Passage)
Below = TypeVar("Below", bound=Field | Section | Bar | BeatLine | Like | Passage)
Piece = TypeVar("Piece", Field, BeatLine, Item)


class BarValues(TypedDict, total=False):
    """What a bar line says beside its number and its chords."""

    at: Fraction
    meter: Meter
    tempo: Fraction
    free: Fraction


@dataclass(frozen=True)
class Reading:
    """What came of reading a file: the solo as far as it could be read, and what could not.

    `unreadable` are the spans of lines that are missing from the solo, `lost_bars` those of them that should begin bars
    and do not say which: with each of them its bars are missing.
    """

    source: SourceText
    solo: Solo
    problems: tuple[Problem, ...]
    unreadable: tuple[Span, ...] = ()
    lost_bars: tuple[Span, ...] = ()


def read_solo(source: SourceText) -> Reading:
    """Read a solo file. Never raises for what a file contains: faults become problems, the rest is read."""
    problems: list[Problem] = []
    bad: list[Span] = []
    text = without_overlong_lines(source, problems, bad)
    try:
        lines = solo_grammar().read(text, "solo") if text else []
    except MisreadError:
        text = without_unreadable_lines(source, text, problems, bad)
        lines = solo_grammar().read(text, "solo")
    return _Assembly(source, problems, bad).assemble(lines)


class _Assembly:
    """One walk over the lines of a file."""

    def __init__(self, source: SourceText, problems: list[Problem], bad: list[Span]):
        self.source = source
        self.problems = problems
        self.bad = bad
        self.fields: list[Field] = []
        self.items: list[Item] = []
        self.bar_line: BarLine | None = None
        self.bar_lines: list[BeatLine] = []
        self.bar_damaged = False
        self.lost_bar = False
        self.lost_bars: list[Span] = []
        self.lines_without_bar = False
        self.remarks: list[Comment] = []
        self.stray_remarks: tuple[Comment, ...] = ()
        self.last_end = -1
        self.pending_bad: list[Span] = []

    def assemble(self, lines: list[Line]) -> Reading:
        self.bad.sort()
        self.pending_bad = list(self.bad)
        for line in lines:
            self._pass_bad_lines(line.span.start)
            self._take_remarks_below(line.span.start)
            if isinstance(line, Remark):
                self.remarks.append(line.comment)
                continue
            self._take(self._with_remarks_above(line))
            self.last_end = line.span.end
        self._pass_bad_lines(len(self.source.text))
        self._give_below(self.remarks)
        self._close_bar()
        fields = tuple(self.fields)
        header = read_header(fields, self.source.path, self.problems)
        solo = Solo(fields, header, tuple(self.items), self.stray_remarks, self.source.path)
        if fault := limits.solo_fault(solo):
            self._fault(*fault)
        self.problems.sort(key=lambda problem: problem.span)
        return Reading(self.source, solo, tuple(self.problems), tuple(self.bad), tuple(self.lost_bars))

    # ---- comments

    def _blank_between(self, start: int, end: int) -> bool:
        """Whether a blank line lies between two places. A line that could not be read is not blank."""
        gap = self.source.text[start:end]
        return re.search(r"\n[ \t]*\n", gap) is not None

    def _take_remarks_below(self, next_start: int) -> None:
        """Comment lines that touch what is above them and not what is below stand with what is above."""
        if not self.remarks or self.last_end < 0:
            return
        touches_above = not self._blank_between(self.last_end, self.remarks[0].span.start)
        touches_below = not self._blank_between(self.remarks[-1].span.end, next_start)
        if touches_above and not touches_below:
            self._give_below(self.remarks)
            self.remarks = []

    def _give_below(self, remarks: list[Comment]) -> None:
        if not remarks:
            return
        below = tuple(remarks)
        if self.bar_line is not None:
            if self.bar_lines:
                self.bar_lines[-1] = _with_below(self.bar_lines[-1], below)
            else:
                self.bar_line = _with_below(self.bar_line, below)
        elif self.items:
            self.items[-1] = _with_below(self.items[-1], below)
        elif self.fields:
            self.fields[-1] = _with_below(self.fields[-1], below)
        else:
            self.stray_remarks = below

    def _with_remarks_above(self, line: Commented) -> Commented:
        if not self.remarks:
            return line
        above = tuple(self.remarks)
        self.remarks = []
        return replace(line, comments=replace(line.comments, above=above))

    # ---- lines

    def _pass_bad_lines(self, offset: int) -> None:
        """Lines that could not be read leave their mark on the bar they stood in."""
        while self.pending_bad and self.pending_bad[0].start < offset:
            span = self.pending_bad.pop(0)
            text = self.source.text[span.start : span.end]
            if match := re.match(r"\s*bars?\b[ \t]*([0-9]{1,6})?", text):
                self._close_bar()
                if match[1] and "like" not in text:
                    number_span = Span(span.start, span.start + len(text.rstrip()))
                    self.bar_line = BarLine(int(match[1]), (), Comments(), number_span)
                    self.bar_damaged = True
                else:
                    self.lost_bar = True
                    self.lost_bars.append(span)
            elif re.match(r"\s*(section|passage)\b", text):
                self._close_bar()
            else:
                self.bar_damaged = self.bar_line is not None
            self.last_end = max(self.last_end, span.end)

    def _take(self, line: Field | Section | BarLine | Like | Passage | BeatLine) -> None:
        if isinstance(line, BeatLine):
            self._take_beat(line)
        elif isinstance(line, Field):
            self._take_field(line)
        else:
            self._close_bar()
            if isinstance(line, BarLine):
                self.bar_line = line
            elif isinstance(line, Passage) and self.items and isinstance(self.items[-1], Passage):
                self._append(self.items, line)
            else:
                self.items.append(self._checked(line))

    def _append(self, block: list[Piece], line: Piece) -> None:
        """Lines of a block stand together: comments below the last one come to stand above the next."""
        if block:
            block[-1], line = _pass_on(block[-1], line)
        block.append(line)

    def _take_field(self, line: Field) -> None:
        if fault := self._no_field(line):
            self._fault(line.span, *fault)
            self.bad.append(line.span)
            self.bar_damaged = self.bar_line is not None
        else:
            self._append(self.fields, line)

    def _no_field(self, line: Field) -> tuple[str, str] | None:
        """Why a line with a colon is none of the header's, and what to write."""
        name = line.name.lower()
        if name in ("bar", "bars", "section", "passage"):
            return f"{name} takes no colon", f"write {name} {line.value or '…'}"
        if self.items or self.bar_line is not None or self.lost_bar:
            if re.fullmatch(r"[hptbrw][0-9]+", name):
                return "a beat line starts with its count", f"write the count first, like 1  {name}:7"
            message = f"the header field “{line.name}” stands below the first section or bar"
            return message, "move it to the top of the file"
        return None

    def _take_beat(self, line: BeatLine) -> None:
        if self.bar_line is None:
            if not self.lost_bar and not self.lines_without_bar:
                self._fault(line.span, "this beat line belongs to no bar", "write a line like bar 1 above it")
                self.lines_without_bar = True
            self.bad.append(line.span)
            return
        if fault := limits.line_fault(line):
            self._fault(*fault)
            self.bar_damaged = True
            self.bad.append(line.span)
            return
        if not self.bar_lines:
            self.bar_line, line = _pass_on(self.bar_line, line)
        self._append(self.bar_lines, line)

    def _close_bar(self) -> None:
        self.lost_bar = self.lines_without_bar = False
        if self.bar_line is not None:
            self.items.append(self._bar(self.bar_line))
        self.bar_line = None
        self.bar_lines = []
        self.bar_damaged = False

    def _bar(self, line: BarLine) -> Bar:
        chords: list[ChordMark] = []
        values: BarValues = {}
        for entry in line.entries:
            if isinstance(entry, ChordMark):
                chords.append(entry)
                self._check_moment(entry)
            elif entry.word in values:
                self._lose(line, entry, FieldValueError(f"{entry.word} stands twice on this bar", "keep one", "syntax"))
            else:
                try:
                    values.update(_value(entry))
                except FieldValueError as fault:
                    self._lose(line, entry, fault)
        return Bar(
            line.number,
            tuple(chords),
            tuple(self.bar_lines),
            **values,
            comments=line.comments,
            span=line.span,
            damaged=self.bar_damaged,
        )

    def _lose(self, line: BarLine, entry: MeterEntry | NumberEntry, fault: FieldValueError) -> None:
        """A part of a bar line that is missing from the bar."""
        self._fault(entry.span, fault.message, fault.advice, fault.check)
        self.bad.append(line.span)
        self.bar_damaged = True

    def _checked(self, item: Item) -> Item:
        if isinstance(item, Like):
            for mark in item.chords:
                self._check_moment(mark, item)
        return item

    def _check_moment(self, mark: ChordMark, like: Like | None = None) -> None:
        if mark.at is None or mark.at.bar is None:
            return
        if like is None:
            message = f"“@{mark.at}” says bar {mark.at.bar}, count {mark.at.count}, on a bar's own line"
            advice = f"write the count alone, @{mark.at.count}; the second half of a count is @{mark.at.bar}&"
            self._fault(mark.span, message, advice)
        elif not like.first <= mark.at.bar <= like.last:
            self._fault(
                mark.span,
                f"bar {mark.at.bar} is none of the bars {like.first}-{like.last}",
                "the number before the point is one of the bars this line makes",
            )

    def _fault(self, span: Span, message: str, advice: str, check: str = "syntax") -> None:
        self.problems.append(syntax_problem(self.source, span, message, advice, check))


def _value(entry: MeterEntry | NumberEntry) -> BarValues:
    if isinstance(entry, MeterEntry):
        return {"meter": read_meter(entry.text)}
    if entry.word == "tempo":
        return {"tempo": read_tempo(entry.number)}
    if entry.word == "at":
        return {"at": entry.number}
    if not 0 < entry.number <= LONGEST_FREE_BAR:
        raise FieldValueError(
            "a free bar cannot last that long", f"write at most {LONGEST_FREE_BAR} seconds, more than 0"
        )
    return {"free": entry.number}


def _pass_on(previous: Commented, line: Below) -> tuple[Commented, Below]:
    below = previous.comments.below
    if not below:
        return previous, line
    return (
        replace(previous, comments=replace(previous.comments, below=())),
        replace(line, comments=replace(line.comments, above=below + line.comments.above)),
    )


def _with_below(thing: Commented, below: tuple[Comment, ...]) -> Commented:
    return replace(thing, comments=replace(thing.comments, below=thing.comments.below + below))
