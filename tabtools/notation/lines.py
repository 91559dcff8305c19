"""Grammar callbacks: each line of a solo file to the record it stands for, each note to a `Note`."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from tabtools.model.solo import (
    NO_COMMENTS,
    Address,
    AddressRange,
    BeatLine,
    ChordMark,
    Comment,
    Comments,
    Count,
    Field,
    Group,
    Hold,
    Like,
    Mark,
    Note,
    Passage,
    Rest,
    Section,
    Slot,
    Stroke,
)
from tabtools.notation.chords import closed_up
from tabtools.notation.marks import mark_of
from tabtools.notation.note_words import Marks, fret_of, note_of
from tabtools.notation.read import Children, Grammar, RefusedError, Token, span_of
from tabtools.source import Span


@dataclass(frozen=True, slots=True)
class BarLine:
    """A `bar` line before its beat lines are known."""

    number: int
    entries: tuple[BarEntry, ...]
    comments: Comments
    span: Span


class MeterEntry(NamedTuple):
    """A meter on a `bar` line, as it is written."""

    text: str
    span: Span
    word: str = "meter"


class NumberEntry(NamedTuple):
    """A number on a `bar` line: `word` is `at` or `free` (seconds), or `tempo`."""

    word: str
    number: Fraction
    span: Span


BarEntry = ChordMark | MeterEntry | NumberEntry


@dataclass(frozen=True, slots=True)
class Remark:
    """A line that is only a comment."""

    comment: Comment
    span: Span


Line = Field | Section | BarLine | Like | Passage | BeatLine | Remark


class _LineCallbacks:
    """One method a rule of solo.lark."""

    def solo(self, children: Children) -> list[Line]:
        return [child for child in children if not isinstance(child, Token)]

    def line(self, children: Children) -> Line:
        line: Line = next(child for child in children if not isinstance(child, Token))
        return line

    def remark(self, children: Children) -> Remark:
        comment = _comment(children[0])
        return Remark(comment, comment.span)

    def field(self, children: Children) -> Field:
        name = children[0]
        comments = _beside(children)
        value = children[1] if len(children) > 1 else None
        if value is None:
            value_span = Span(name.start_pos, name.start_pos + len(name.rstrip()))
        else:
            value_span = span_of(value)
        return Field(name.rstrip(" \t:"), str(value or ""), comments, Span(name.start_pos, value_span.end), value_span)

    def section(self, children: Children) -> Section:
        comments = _beside(children)
        label = children[1]
        name = children[2] if len(children) > 2 else ""
        return Section(str(label), str(name), comments, _whole(children))

    def passage(self, children: Children) -> Passage:
        comments = _beside(children)
        addresses = [child for child in children if isinstance(child, Address)]
        name = children[-1] if isinstance(children[-1], Token) and children[-1].type == "NAME" else ""
        start = children[0].start_pos
        end = children[-1].end_pos if name else start + len(children[0]) + len(str(addresses[0]))
        return Passage(AddressRange(addresses[0], addresses[-1]), str(name), comments, Span(start, end))

    def address(self, children: Children) -> Address:
        return Address(*(int(part) for part in children[0].split(".")))

    # ---- bars

    def bar(self, children: Children) -> BarLine:
        comments = _beside(children)
        word, number, *entries = children
        end = entries[-1].span.end if entries else number.end_pos
        return BarLine(int(number), tuple(entries), comments, Span(word.start_pos, end))

    def chord(self, children: Children) -> ChordMark:
        symbol = children[0]
        moment = _moment(children[1]) if len(children) > 1 else None
        name = symbol.removesuffix("?")
        closed = closed_up(name) if " " in name else name
        return ChordMark(closed, moment, Span(symbol.start_pos, children[-1].end_pos), doubtful=name != symbol)

    def at(self, children: Children) -> NumberEntry:
        seconds = Fraction(0)
        for part in children[1].split(":"):
            seconds = seconds * 60 + Fraction(part)
        return NumberEntry("at", seconds, _whole(children))

    def meter(self, children: Children) -> MeterEntry:
        text = str(children[1]) + (f" in {children[2]}" if len(children) > 2 else "")
        return MeterEntry(text, _whole(children))

    def tempo(self, children: Children) -> NumberEntry:
        return NumberEntry("tempo", Fraction(children[1]), _whole(children))

    def free(self, children: Children) -> NumberEntry:
        return NumberEntry("free", Fraction(children[1][:-1]), _whole(children))

    def like(self, children: Children) -> Like:
        comments = _beside(children)
        word, (first, last, _), (like_first, like_last, end), *entries = children
        if entries:
            end = entries[-1].span.end
        return Like(first, last, like_first, like_last, tuple(entries), comments, Span(word.start_pos, end))

    def bar_range(self, children: Children) -> tuple[int, int, int]:
        return int(children[0]), int(children[-1]), children[-1].end_pos

    # ---- beats

    def beat(self, children: Children) -> BeatLine:
        comments = _beside(children)
        counts = [child for child in children[:3] if isinstance(child, Token)]
        body = children[len(counts) :]
        doubtful = counts[-1].type == "UNSURE"
        if doubtful:
            counts.pop()
        first, last = counts[0], counts[-1]
        marks: tuple[Mark, ...] = ()
        if isinstance(body[-1], Marks):
            marks = body.pop().marks
        end = marks[-1].span.end + 1 if marks else body[-1].span.end
        return BeatLine(int(first), int(last), tuple(body), marks, comments, Span(first.start_pos, end), doubtful)

    def slot(self, children: Children) -> Slot:
        thing: Stroke | Group | Token = children[0]
        weight = int(children[1][1:]) if len(children) > 1 else 1
        if isinstance(thing, Token):
            kind = Hold if thing.type == "HOLD" else Rest
            return kind(weight, Span(thing.start_pos, children[-1].end_pos))
        if len(children) > 1:
            return replace(thing, weight=weight, span=Span(thing.span.start, children[1].end_pos))
        return thing

    def group(self, children: Children) -> Group:
        return Group(tuple(children[1:-1]), 1, Span(children[0].start_pos, children[-1].end_pos))

    def unheard(self, children: Children) -> Stroke:
        return Stroke((Note(None, None, unheard=True, span=span_of(children[0])),), 1, span_of(children[0]))

    def stroke(self, children: Children) -> Stroke:
        if len(children) > 1:
            _refuse_unnamed_strings(children)
        return Stroke(tuple(children), 1, Span(children[0].span.start, children[-1].span.end))

    def note(self, children: Children) -> Note:
        first = children[0]
        if len(children) == 2 and first.type == "STRING" and children[1].type == "FRET":
            fret = children[1]
            return Note(int(first[:-1]), fret_of(fret), span=Span(first.start_pos, fret.end_pos))
        return note_of(children)

    def marks(self, children: Children) -> Marks:
        return Marks(tuple(children[:-1]), children[-1].end_pos)

    def mark(self, children: Children) -> Mark:
        return mark_of([str(child) for child in children], Span(children[0].start_pos, children[-1].end_pos))


def _refuse_unnamed_strings(notes: list[Note]) -> None:
    for note in notes:
        if note.string is None and note.via:
            advice = f"notes that sound together each name their string, like 5:5+4:7 {note.via}5:7+{note.via}4:9"
            raise RefusedError(note.span.start, f"this “{note.via}” names no string", advice)


def _moment(token: Token) -> Count:
    text = token[1:]
    half = text.endswith("&")
    bar, _, count = text.rstrip("&").rpartition(".")
    return Count(int(count), half, int(bar) if bar else None)


def _whole(children: list[Token]) -> Span:
    return Span(children[0].start_pos, children[-1].end_pos)


def _comment(token: Token) -> Comment:
    text = token.strip()
    start = token.end_pos - len(token.lstrip())
    return Comment(text, Span(start, start + len(text)))


def _beside(children: Children) -> Comments:
    """Take the comment at the end of a line off its children."""
    last = children[-1]
    if isinstance(last, Token) and last.type == "COMMENT":
        children.pop()
        return Comments(beside=_comment(last))
    return NO_COMMENTS


@lru_cache(maxsize=1)
def solo_grammar() -> Grammar:
    """The grammar of solo files, with these callbacks: `solo` reads to a list of `Line`s, `line` to one."""
    return Grammar("solo.lark", ("solo", "line"), _LineCallbacks())
