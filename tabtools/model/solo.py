"""A solo as it is written: frozen records that keep their place in the text.

Spans and the trivia of layout do not take part in equality: two solos are equal when they write the same
music with the same comments.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from tabtools.model.harmony import Key
from tabtools.model.instrument import STANDARD_INSTRUMENT, Instrument
from tabtools.model.rhythm import FOUR_FOUR, STRAIGHT, Feel, Meter
from tabtools.source import Span

NOWHERE = Span(0, 0)


@dataclass(frozen=True, slots=True)
class Comment:
    """A comment with its `#`, without white space at its end."""

    text: str
    span: Span = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Comments:
    """The comments that stand with something: on lines above it, behind it, on lines below it."""

    above: tuple[Comment, ...] = ()
    beside: Comment | None = None
    below: tuple[Comment, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.above or self.beside or self.below)

    def all(self) -> tuple[Comment, ...]:
        beside = (self.beside,) if self.beside else ()
        return (*self.above, *beside, *self.below)


NO_COMMENTS = Comments()


Fret = int | Fraction
"""A fret counted from the capo: whole where a finger stands, a fraction where only pitch moves."""


class Place(NamedTuple):
    """A place on the neck: a string (1 is the highest) and a fret counted from the capo."""

    string: int
    fret: Fret


@dataclass(frozen=True, slots=True)
class Mark:
    """A word in square brackets, with its argument: `pm`, `trill 12`, `lh 3`."""

    word: str
    argument: str = ""
    span: Span = field(default=NOWHERE, compare=False)

    def __str__(self) -> str:
        return f"{self.word} {self.argument}" if self.argument else self.word


class Heard(NamedTuple):
    """A pitch as it was heard: its MIDI number, and its name as it is spelled."""

    midi: int
    name: str


class Motion(NamedTuple):
    """What happens to a sounding note within its slot.

    `sign` is one of `h p / \\ t b r w` with the fret reached, `pb` with the fret it is bent to before it is
    struck, `/` or `\\` without a fret for a slide to nowhere, `~` or `~~` for vibrato. `pitch` stands where
    the pitch reached was written in the place of the fret.
    """

    sign: str
    fret: Fret | None = None
    pitch: Heard | None = None

    @property
    def arrives(self) -> bool:
        """Whether it goes somewhere: to a fret or to a pitch."""
        return self.fret is not None or self.pitch is not None


@dataclass(frozen=True, slots=True)
class Note:
    """One note of a stroke.

    `via` is the move that reaches it (`h p / \\ t b r w`, empty when it is plucked); `string` is None where
    the string of the stroke before is meant, or where it is not known. `fret` is None for a dead note, for a
    natural harmonic and for what is open; `touch` is the fret touched by a harmonic. `heard` is the pitch noted
    behind a place. What is open: `pitch` stands where the place is not known, `unknown` says that the pitch is
    not known either, `unheard` that this is a stretch in which nothing can be made out. `others` are other
    readings: places for a placed note, pitches for one whose place is open.
    """

    string: int | None
    fret: Fret | None
    via: str = ""
    dead: bool = False
    touch: Fret | None = None
    motions: tuple[Motion, ...] = ()
    heard: Heard | None = None
    pitch: Heard | None = None
    unknown: bool = False
    unheard: bool = False
    unsure: bool = False
    others: tuple[Place | Heard, ...] = ()
    marks: tuple[Mark, ...] = ()
    span: Span = field(default=NOWHERE, compare=False)

    @property
    def only_moves_pitch(self) -> bool:
        """Whether the string goes on sounding under it (a bend, release or vibrato-bar slot)."""
        return self.via in PITCH_MOVES

    @property
    def is_open(self) -> bool:
        """Whether its place, or more than that, is not known yet."""
        return self.pitch is not None or self.unknown or self.unheard

    @property
    def names_pitch(self) -> bool:
        """Whether a pitch stands in the place of a fret, where the note begins or on its way."""
        return self.pitch is not None or (bool(self.motions) and any(one.pitch is not None for one in self.motions))

    @property
    def other_places(self) -> tuple[Place, ...]:
        """The other readings that name a place."""
        return tuple(other for other in self.others if isinstance(other, Place))

    @property
    def pitch_heard(self) -> Heard | None:
        """The pitch that was noted, behind a place or instead of one."""
        return self.heard or self.pitch


PRE_BEND = "pb"
PITCH_MOVES = frozenset("brw")


@dataclass(frozen=True, slots=True)
class Stroke:
    """One or more notes at one moment, taking `weight` shares of the time of their line or group."""

    notes: tuple[Note, ...]
    weight: int = 1
    span: Span = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Hold:
    """`-`: what sounds goes on."""

    weight: int = 1
    span: Span = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Rest:
    """`.`: silence."""

    weight: int = 1
    span: Span = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Group:
    """`( … )`: one slot divided further."""

    slots: tuple[Slot, ...]
    weight: int = 1
    span: Span = field(default=NOWHERE, compare=False)


Slot = Stroke | Hold | Rest | Group


@dataclass(frozen=True, slots=True)
class BeatLine:
    """One line of a bar: the counts `first` to `last` (inclusive), shared evenly by `slots`.

    `doubtful` says that the order of the slots is right and their rhythm not known. `span` is the whole line
    without its comment.
    """

    first: int
    last: int
    slots: tuple[Slot, ...]
    marks: tuple[Mark, ...] = ()
    comments: Comments = NO_COMMENTS
    span: Span = field(default=NOWHERE, compare=False)
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class Count:
    """A moment within a bar: a count from 1 and whether its second half (`3&`) is meant; a bar in `bars … like`."""

    count: int
    half: bool = False
    bar: int | None = None

    def __str__(self) -> str:
        bar = f"{self.bar}." if self.bar is not None else ""
        return f"{bar}{self.count}{'&' if self.half else ''}"


@dataclass(frozen=True, slots=True)
class ChordMark:
    """A chord symbol as written and the count it holds from (None: from the first); `doubtful`: not surely this."""

    symbol: str
    at: Count | None = None
    span: Span = field(default=NOWHERE, compare=False)
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class Bar:
    """A written bar. `at` is where it starts in the recording, `free` its length when out of time, in seconds.

    `damaged` says that some of its lines could not be read and are missing here.
    """

    number: int
    chords: tuple[ChordMark, ...] = ()
    lines: tuple[BeatLine, ...] = ()
    at: Fraction | None = None
    meter: Meter | None = None
    tempo: Fraction | None = None
    free: Fraction | None = None
    comments: Comments = NO_COMMENTS
    span: Span = field(default=NOWHERE, compare=False)
    damaged: bool = field(default=False, compare=False)


@dataclass(frozen=True, slots=True)
class Like:
    """`bars 9-12 like 1-4`: the music of bars already written, `chords` replacing theirs where there are any."""

    first: int
    last: int
    like_first: int
    like_last: int
    chords: tuple[ChordMark, ...] = ()
    comments: Comments = NO_COMMENTS
    span: Span = field(default=NOWHERE, compare=False)

    def source_of(self, number: int) -> int:
        """The bar that bar `number` repeats; a stretch shorter than this one comes round again."""
        stretch = max(1, self.like_last - self.like_first + 1)
        return self.like_first + (number - self.first) % stretch

    def chords_of(self, number: int) -> tuple[ChordMark, ...] | None:
        """The chords that the line gives bar `number`; None where it gives none at all, so that the old ones hold."""
        if not self.chords:
            return None
        return tuple(mark for mark in self.chords if (mark.at.bar if mark.at and mark.at.bar else self.first) == number)


@dataclass(frozen=True, slots=True)
class Section:
    """`section A  Name`: a part begins here."""

    label: str
    name: str = ""
    comments: Comments = NO_COMMENTS
    span: Span = field(default=NOWHERE, compare=False)


class Address(NamedTuple):
    """A place in the music: a bar, a count of it, a stroke on that count's line. `5`, `5.2`, `5.2.3`."""

    bar: int
    count: int | None = None  # type: ignore[assignment]  # a count of the music, not a tuple's count()
    stroke: int | None = None

    def __str__(self) -> str:
        return ".".join(str(part) for part in (self.bar, self.count, self.stroke) if part is not None)


class AddressRange(NamedTuple):
    """From one address to another, both inclusive."""

    first: Address
    last: Address

    def __str__(self) -> str:
        return str(self.first) if self.first == self.last else f"{self.first}-{self.last}"


@dataclass(frozen=True, slots=True)
class Passage:
    """`passage 1.1-2.2  Name`: a stretch the lesson talks about."""

    range: AddressRange
    name: str = ""
    comments: Comments = NO_COMMENTS
    span: Span = field(default=NOWHERE, compare=False)


Item = Section | Bar | Like | Passage


def first_number(item: Bar | Like) -> int:
    """The number of the bar, or of the first of the bars, that an item makes."""
    return item.number if isinstance(item, Bar) else item.first


def numbers_of(item: Bar | Like) -> range:
    """The numbers of the bars that an item makes."""
    return range(item.number, item.number + 1) if isinstance(item, Bar) else range(item.first, item.last + 1)


@dataclass(frozen=True, slots=True)
class Field:
    """A header line as written."""

    name: str
    value: str
    comments: Comments = NO_COMMENTS
    span: Span = field(default=NOWHERE, compare=False)
    value_span: Span = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Header:
    """The header read: what the fields say, defaults where they are silent. `tempo` counts beats a minute."""

    title: str = ""
    player: str = ""
    composer: str = ""
    recording: str = ""
    rights: str = ""
    summary: str = ""
    tags: tuple[str, ...] = ()
    hand: str = ""
    draft: bool = False
    key: Key | None = None
    meter: Meter = FOUR_FOUR
    tempo: Fraction = Fraction(120)
    feel: Feel = STRAIGHT
    instrument: Instrument = STANDARD_INSTRUMENT


@dataclass(frozen=True, slots=True)
class Solo:
    """One solo file: the header as written and as read, then sections, bars and passages in written order.

    `remarks` are the comments of a file that has nothing else for them to stand with.
    """

    fields: tuple[Field, ...] = ()
    header: Header = Header()
    items: tuple[Item, ...] = ()
    remarks: tuple[Comment, ...] = ()
    path: str = field(default="", compare=False)

    @property
    def bars(self) -> tuple[Bar, ...]:
        """The bars written out, without those that `bars … like` repeats."""
        return tuple(item for item in self.items if isinstance(item, Bar))

    @property
    def passages(self) -> tuple[Passage, ...]:
        return tuple(item for item in self.items if isinstance(item, Passage))

    def field_span(self, name: str) -> Span:
        """Where a header field's value stands; the start of the file when it is not there."""
        return next((entry.value_span for entry in self.fields if entry.name == name), NOWHERE)


def notes_of(line: BeatLine) -> list[Note]:
    """The notes of a line in written order."""
    notes: list[Note] = []
    stack: list[Slot] = list(reversed(line.slots))
    while stack:
        slot = stack.pop()
        if isinstance(slot, Stroke):
            notes.extend(slot.notes)
        elif isinstance(slot, Group):
            stack.extend(reversed(slot.slots))
    return notes
