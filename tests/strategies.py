"""Hypothesis strategies: solos that can be written, and other layouts of their text.

Hypothesis chooses how large a solo is and a seed; `Dice` throws the rest. Drawing every note of a solo from
hypothesis itself takes a hundred times as long. A failing example shrinks in size.

The solos have a canonical text, with comments wherever comments can stand. Lines of one block keep comments below
only at their end, as the reader puts them.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TypeVar

from hypothesis import strategies as st

from tabtools.model.pitch import parse_pitch
from tabtools.model.rhythm import DENOMINATORS, Meter
from tabtools.model.solo import (
    NO_COMMENTS,
    Address,
    AddressRange,
    Bar,
    BeatLine,
    ChordMark,
    Comment,
    Comments,
    Count,
    Field,
    Group,
    Heard,
    Hold,
    Item,
    Like,
    Mark,
    Motion,
    Note,
    Passage,
    Place,
    Rest,
    Section,
    Slot,
    Solo,
    Stroke,
)
from tabtools.notation.header import FIELD_NAMES, read_header
from tabtools.notation.marks import MARKS

T = TypeVar("T")

MOVES = "hptbrw"
SLIDES = "/\\"
CHARACTERS = "abcXYZ 0129:;-–.,#@[](){}<>=?*+/\\~|'\"&%éßøΔ\u00a0\u200b漢🎸"
TEXTS = ("Ferry at Dusk", "Study#3", "a  b", "x: y", "1-2", "- 2", "(slow)", "bar 1", "4/4", "at 0:42", "like 1-2")
REMARKS = (" high", "# twice", " allow reach: he does stretch it", "no space", " [pm] (3:7)", " bar 9", "", " a  b")
SYMBOLS = ("Dm7", "A7(b9,#11)", "Bb/D", "A°7", "CΔ7", "F#m11", "NC", "N.C.", "Hx", "A7,", "G#", "C-7|G", "X1")
VALUES = {
    "tuning": ("DADGAD", "D2 A2 D3 G3 B3 E4", "drop d"),
    "capo": ("0", "3"),
    "frets": ("24",),
    "scale-length": ("25.5 in", "648 mm"),
    "gauges": ("10 13 17 26w 36w 46w",),
    "key": ("A minor", "F# dorian"),
    "meter": ("7/8", "12/8 in 4"),
    "tempo": ("96.5",),
    "feel": ("swing 2:1", "straight"),
    "reference": ("442",),
    "draft": ("yes",),
    "hand": ("small",),
}


class Dice:
    """Throws everything a solo can be made of. `size` is the most of anything there can be several of."""

    def __init__(self, size: int, seed: int, with_comments: bool = True):
        self.random = random.Random(seed)
        self.size = size
        self.with_comments = with_comments

    def one_of(self, things: Sequence[T]) -> T:
        return self.random.choice(things)

    def chance(self, probability: float) -> bool:
        return self.random.random() < probability

    def several(self, throw: Callable[[], T], least: int = 0, most: int | None = None) -> tuple[T, ...]:
        count = self.random.randint(least, max(least, self.size if most is None else most))
        return tuple(throw() for _ in range(count))

    def decimal(self, low: int, high: int, digits: int) -> Fraction:
        scale = 10 ** self.one_of((0, 1, digits))
        return Fraction(self.random.randint(low * scale, high * scale), scale)

    # ---- words and comments

    def text(self) -> str:
        if self.chance(0.6):
            return self.one_of(TEXTS)
        while True:
            text = "".join(self.several(lambda: self.one_of(CHARACTERS), 1, 12)).strip()
            if re.fullmatch(r"[^\s#](?:[^\S\n]*(?:[^\s#]|(?<=\S)#))*", text):
                return text

    def name(self) -> str:
        """A text, or none; not one that starts like the second half of a range."""
        text = self.text() if self.chance(0.6) else ""
        return "" if text[:1] in ("-", "–") else text

    def comment(self) -> Comment:
        said = self.one_of(REMARKS) if self.chance(0.7) else "".join(self.several(lambda: self.one_of(CHARACTERS)))
        return Comment(f"#{said}".strip())

    def comments(self, below: bool = False) -> Comments:
        if not self.with_comments or self.chance(0.6):
            return NO_COMMENTS
        beside = self.comment() if self.chance(0.4) else None
        return Comments(self.several(self.comment, 0, 2), beside, self.several(self.comment, 0, 2) if below else ())

    # ---- notes

    def fret(self) -> int | Fraction:
        if self.chance(0.85):
            return self.random.randint(0, 24)
        return self.one_of((Fraction(11, 2), Fraction(39, 10), Fraction(1, 10_000), Fraction(999)))

    def string(self) -> int:
        return self.random.randint(0, 9) if self.chance(0.98) else 999

    def mark(self) -> Mark:
        kind = self.one_of(tuple(MARKS)) if self.chance(0.9) else self.one_of(("Foo", "don't", "a-b", "x1"))
        given = MARKS[kind].arguments if kind in MARKS else ("", "1 2", "a.b-c")
        argument = self.one_of(("12", "9.5")) if given == ("fret",) else self.one_of(given) if given else ""
        return Mark(kind, argument)

    def marks(self) -> tuple[Mark, ...]:
        return self.several(self.mark, 1, 3) if self.chance(0.2) else ()

    def motions(self) -> tuple[Motion, ...]:
        """What can follow each other in a slot: pb first, no vibrato twice, nothing behind a slide to nowhere."""
        found: list[Motion] = []
        for number in range(self.one_of((0, 0, 0, 1, 1, 2, 3))):
            sign = self.one_of((*MOVES, *SLIDES, "~", "~~", "nowhere", *(["pb"] if number == 0 else [])))
            if sign == "nowhere":
                return (*found, Motion(self.one_of(SLIDES)))
            if sign[0] != "~" and sign not in SLIDES and self.chance(0.1):
                found.append(Motion(sign, None, self.pitch()))
            elif sign[0] != "~":
                found.append(Motion(sign, self.fret()))
            elif not found or found[-1].sign[0] != "~":
                found.append(Motion(sign))
        return tuple(found)

    def pitch(self) -> Heard:
        name = f"{self.one_of('ABCDEFG')}{self.one_of(('', '#', 'b', '##', 'bb'))}{self.random.randint(-1, 9)}"
        return Heard(parse_pitch(name), name)

    def place(self) -> Place:
        return Place(self.string(), self.fret())

    def note(self, is_alone: bool) -> Note:
        via = self.one_of(("", "", "", *MOVES, *SLIDES))
        shape = self.one_of(("fret",) * 4 + ("dead", "natural", "artificial") + ("pitch", "unknown") * self.chance(0.3))
        is_open = shape in ("pitch", "unknown")
        unsure = shape != "unknown" and self.chance(0.1)
        others = self.several(self.pitch if shape == "pitch" else self.place, 0, 2) if unsure else ()
        is_stringless = (bool(via) and is_alone) or (is_open and not via)
        return Note(
            string=None if is_stringless and self.chance(0.5) else self.string(),
            fret=self.fret() if shape in ("fret", "artificial") else None,
            via=via,
            dead=shape == "dead",
            touch=self.fret() if shape in ("natural", "artificial") else None,
            motions=self.motions(),
            heard=self.pitch() if not is_open and self.chance(0.1) else None,
            pitch=self.pitch() if shape == "pitch" else None,
            unknown=shape == "unknown",
            unsure=unsure,
            others=others,
            marks=self.marks(),
        )

    def slot(self, depth: int = 3) -> Slot:
        weight = self.one_of((1, 1, 1, 1, 2, 3, 64))
        kind = self.one_of(("stroke", "stroke", "stroke", "hold", "rest", "group"))
        if kind == "group" and depth:
            return Group(self.several(lambda: self.slot(depth - 1), 1, 3), weight)
        if kind in ("hold", "rest"):
            return Hold(weight) if kind == "hold" else Rest(weight)
        if self.chance(0.03):
            return Stroke((Note(None, None, unheard=True),), weight)
        size = self.one_of((1, 1, 1, 2, 3))
        return Stroke(tuple(self.note(is_alone=size == 1) for _ in range(size)), weight)

    def beat_line(self) -> BeatLine:
        first = self.random.randint(1, 64)
        last = first if self.chance(0.7) else self.random.randint(first, 64)
        return BeatLine(
            first, last, self.several(self.slot, 1, 4), self.marks(), self.comments(), doubtful=self.chance(0.05)
        )

    # ---- bars and the rest

    def number(self) -> int:
        return self.random.randint(0, 40) if self.chance(0.98) else 999_999

    def chords(self, bars: Sequence[int] = ()) -> tuple[ChordMark, ...]:
        def chord() -> ChordMark:
            bar = self.one_of(bars) if bars and self.chance(0.5) else None
            at = Count(self.random.randint(0, 12), self.chance(0.3), bar) if self.chance(0.6) else None
            return ChordMark(self.one_of(SYMBOLS), at, doubtful=self.chance(0.1))

        return self.several(chord, 0, 3) if self.chance(0.6) else ()

    def meter(self) -> Meter:
        numerator = self.random.randint(1, 64)
        counts = [count for count in range(1, numerator + 1) if numerator % count == 0]
        return Meter(numerator, self.one_of(DENOMINATORS), self.one_of((numerator, self.one_of(counts))))

    def bar(self) -> Bar:
        lines = list(self.several(self.beat_line))
        if lines:
            lines[-1] = replace(lines[-1], comments=self.comments(below=True))
        return Bar(
            self.number(),
            self.chords(),
            tuple(lines),
            at=self.decimal(0, 9999 * 60 + 59, 6) if self.chance(0.2) else None,
            meter=self.meter() if self.chance(0.2) else None,
            tempo=self.decimal(10, 600, 6) if self.chance(0.2) else None,
            free=self.decimal(1, 600, 6) if self.chance(0.2) else None,
            comments=self.comments(below=not lines),
        )

    def like(self) -> Like:
        first, like_first = self.random.randint(1, 400), self.random.randint(0, 400)
        last, like_last = first + self.random.randint(0, 9), like_first + self.random.randint(0, 9)
        chords = self.chords(bars=(first, last))
        return Like(first, last, like_first, like_last, chords, self.comments(below=True))

    def section(self) -> Section:
        label = self.one_of(("A", "B2", "Intro", "A#", "(1)", "ε"))
        return Section(label, self.text() if self.chance(0.6) else "", self.comments(below=True))

    def address(self) -> Address:
        count, stroke = self.random.randint(0, 99), self.random.randint(0, 99)
        return self.one_of((Address(self.number()), Address(7, count), Address(7, count, stroke)))

    def passage(self) -> Passage:
        first = self.address()
        last = first if self.chance(0.5) else self.address()
        return Passage(AddressRange(first, last), self.name(), self.comments(below=True))

    def field(self) -> Field:
        name = self.one_of((*FIELD_NAMES, "mood", "X-y_1"))
        value = self.one_of(VALUES[name]) if name in VALUES and self.chance(0.7) else self.text()
        return Field(name, value if self.chance(0.9) else "", self.comments())

    def fields(self) -> tuple[Field, ...]:
        """Known fields and others, sound values and others: the reader keeps all of them."""
        found = list(self.several(self.field))
        if found:
            found[-1] = replace(found[-1], comments=self.comments(below=True))
        return tuple(found)

    def items(self) -> tuple[Item, ...]:
        """Sections, bars, repeats, passages; comments below one passage stand above the next."""
        found = list(self.several(lambda: self.one_of((self.bar, self.bar, self.like, self.section, self.passage))()))
        for index, item in enumerate(found[:-1]):
            if isinstance(item, Passage) and isinstance(found[index + 1], Passage):
                found[index] = replace(item, comments=replace(item.comments, below=()))
        return tuple(found)

    def solo(self) -> Solo:
        fields, items = self.fields(), self.items()
        remarks = () if fields or items or not self.with_comments else self.several(self.comment)
        return Solo(fields, read_header(fields, "", []), items, remarks)

    # ---- solos whose bars add up

    def full_line(self, first: int, last: int) -> BeatLine:
        return BeatLine(first, last, self.several(self.slot, 1, 3), self.marks())

    def full_lines(self, counts: int) -> tuple[BeatLine, ...]:
        lines, first = [], 1
        while first <= counts:
            last = min(counts, first + self.random.randint(0, 2))
            lines.append(self.full_line(first, last))
            first = last + 1
        return tuple(lines)

    def full_solo(self) -> Solo:
        """Bars in order, each filled once, some free, some repeated; every note on a string there is."""
        meter = Meter(4, 4, 4)
        meters: dict[int, Meter] = {}
        items: list[Item] = []
        for number in range(1, 2 + self.size):
            if number > 1 and self.chance(0.2):
                source = self.random.randint(1, number - 1)
                items.append(Like(number, number, source, source))
                meter = meters[number] = meters[source]
                continue
            changed = (
                self.one_of((Meter(3, 4, 3), Meter(7, 8, 7), Meter(12, 8, 4), meter)) if self.chance(0.3) else None
            )
            meter = meters[number] = changed or meter
            free = self.decimal(1, 20, 1) if self.chance(0.15) else None
            tempo = self.decimal(40, 240, 1) if self.chance(0.3) else None
            lines = self.full_lines(3 if free else meter.counts)
            items.append(Bar(number, self.chords(), lines, meter=changed, free=free, tempo=tempo))
        fields = (Field("feel", "swing 2:1"),) if self.chance(0.5) else ()
        return Solo(fields, read_header(fields, "", []), tuple(items))

    # ---- layouts

    def layout(self, text: str) -> str:
        """The text laid out otherwise: other white space, blank lines, line ends, wherever they say nothing."""
        lines: list[str] = []
        for line in text.splitlines():
            lines += self.one_of(((), (), (), ("",), ("  ", "\t")))
            indent, end = self.one_of(("", "", "", "  ", "\t")), self.one_of(("", "", " ", "\t "))
            lines.append(indent + self.spaced_anew(line) + end)
        mark, line_end = self.one_of(("", "", "\ufeff")), self.one_of(("\n", "\n", "\r\n", "\r"))
        return mark + line_end.join(lines) + self.one_of((line_end, "", line_end * 3))

    def spaced_anew(self, line: str) -> str:
        gap = self.one_of((" ", "  ", "\t", " \t  "))
        if field := re.match(r"([A-Za-z][\w-]*):[ \t]*(?=\S)", line):
            return f"{field[1]}{self.one_of(('', ' '))}:{gap}{line[field.end() :]}"
        if not re.match(r"[0-9]|bars? ", line):
            return line
        said, remark = re.fullmatch(r"(.*?)(\s#.*)?", line).groups(default="")
        said = re.sub(" +", gap, said.strip())
        if line[0].isdigit():
            said = re.sub(r"([(\[])", rf"\1{self.one_of(('', ' '))}", said)
            said = re.sub(r"([)\],])", rf"{self.one_of(('', ' '))}\1", said)
        return said + (gap + remark.strip(" ") if remark else "")


_SIZES = st.integers(0, 5)
_SEEDS = st.integers(0, 2**40)


def solos(with_comments: bool = True) -> st.SearchStrategy[Solo]:
    """Solos of every kind, with comments wherever they can stand; without any where `with_comments` is false."""
    return st.builds(lambda size, seed: Dice(size, seed, with_comments).solo(), _SIZES, _SEEDS)


def full_solos() -> st.SearchStrategy[Solo]:
    """Solos whose bars add up."""
    return st.builds(lambda size, seed: Dice(size, seed).full_solo(), _SIZES, _SEEDS)


def solos_laid_out_anew(with_comments: bool) -> st.SearchStrategy[tuple[Solo, Callable[[str], str]]]:
    """A solo, and what lays its text out otherwise."""
    return st.builds(
        lambda size, seed: (Dice(size, seed, with_comments).solo(), Dice(size, seed + 1).layout), _SIZES, _SEEDS
    )
