"""The records of a comparison: what a change is, where it stands, and enough of both sides to apply it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple, Protocol

from tabtools.model.rhythm import Meter
from tabtools.model.solo import Address, BeatLine, ChordMark, Comment, Comments, Field, Item, Mark, Note, Solo
from tabtools.notation.build import read_solo
from tabtools.review.align import Alignment
from tabtools.source import SourceText
from tabtools.timeline import TimedNote, Timeline, timeline_of


class Kind(StrEnum):
    """The class of a change, in the order of its weight.

    HEARD: what was not heard is, PLACED: a pitch has its place, OPENED: either is not known any more. RESOLVED and
    RAISED are doubts, about a reading, the rhythm of a line or a chord; READINGS are other readings of an unsure note.
    """

    PITCH = "pitch"
    PLACE = "place"
    HEARD = "heard"
    PLACED = "placed"
    OPENED = "opened"
    RHYTHM = "rhythm"
    TECHNIQUE = "technique"
    NOTES = "notes"
    HARMONY = "harmony"
    HEADER = "header"
    BARS = "bars"
    PARTS = "parts"
    RECORDING = "recording"
    RESOLVED = "resolved"
    RAISED = "raised"
    READINGS = "readings"
    COMMENT = "comment"
    LAYOUT = "layout"


NOT_MUSIC = frozenset({Kind.COMMENT, Kind.LAYOUT})
"""Changes of these kinds alone leave what is played, and what is said about it, as they are."""

KINDS_IN_WORDS = {
    Kind.PITCH: "other pitch",
    Kind.PLACE: "same pitch, another place",
    Kind.HEARD: "heard now",
    Kind.PLACED: "place decided",
    Kind.OPENED: "open again",
    Kind.RHYTHM: "other rhythm",
    Kind.TECHNIQUE: "technique",
    Kind.NOTES: "notes added or gone",
    Kind.HARMONY: "harmony",
    Kind.HEADER: "changed",
    Kind.BARS: "bars",
    Kind.PARTS: "changed",
    Kind.RECORDING: "place in the recording",
    Kind.RESOLVED: "certain now",
    Kind.RAISED: "in doubt now",
    Kind.READINGS: "other readings",
    Kind.COMMENT: "comment",
    Kind.LAYOUT: "written otherwise",
}


class Part(StrEnum):
    """Which part of a solo a change replaces, and so what its `before` and `after` are.

    FIELD a `Field`; REMARKS a tuple of `Comment`s; ITEM a section, bar, repeat or passage; ORDER nothing (the
    piece stands elsewhere); NUMBERS pairs of bar numbers, old and new, and pairs of an old item's index and its new
    number; CHORDS, AT, METER, TEMPO and FREE what stands on a bar line; COMMENTS a `Comments`; LINES tuples of
    `BeatLine`s, in `after` with the old notes in the strokes that stay; MARKS a line's marks; DOUBT whether a line's
    rhythm is in doubt; STROKE a tuple of `Note`s, in `after` with the old notes that stay; NOTE a `Note`; NOTHING
    changes no writing of its own.
    """

    FIELD = "field"
    REMARKS = "remarks"
    ITEM = "item"
    ORDER = "order"
    NUMBERS = "numbers"
    CHORDS = "chords"
    AT = "at"
    METER = "meter"
    TEMPO = "tempo"
    FREE = "free"
    COMMENTS = "comments"
    LINES = "lines"
    MARKS = "marks"
    DOUBT = "doubt"
    STROKE = "stroke"
    NOTE = "note"
    NOTHING = "nothing"


class ChangeSite(NamedTuple):
    """Where a change is applied, in indices from 0.

    `field`, `item` and `old_line` are counted in the old solo, `new_field`, `new_item`, `line`, `stroke` and
    `note` in the new one.
    """

    field: int | None = None
    new_field: int | None = None
    item: int | None = None
    new_item: int | None = None
    old_line: int | None = None
    line: int | None = None
    stroke: int | None = None
    note: int | None = None


NOWHERE = ChangeSite()

Written = (
    bool
    | Field
    | Item
    | Note
    | Comments
    | Meter
    | Fraction
    | tuple[Comment, ...]
    | tuple[ChordMark, ...]
    | tuple[BeatLine, ...]
    | tuple[Mark, ...]
    | tuple[Note, ...]
    | tuple[tuple[int, int], ...]
)
"""What a part of a solo was or is; `Part` says for each part which of these."""


@dataclass(frozen=True, slots=True)
class Change:
    """One change.

    `kinds` is never empty, the weightiest first. `old` and `new` are the addresses in the two versions, None where
    there is nothing (or the header: then `name` says which field). `was` and `now` are the two writings.
    `sounded` and `sounds` are the notes in question as they sound; of lines, the stretches in them that are not
    heard. `name` is the field, or what a line stands for.
    `alike` are bars of the new version with the same music as an added bar, or that repeat a changed one.
    `follows` says that the change only carries on what another says: a note that keeps its pitch in a new tuning,
    a move whose string is that of a changed stroke.
    """

    kinds: tuple[Kind, ...]
    part: Part
    site: ChangeSite = NOWHERE
    old: Address | None = None
    new: Address | None = None
    was: str = ""
    now: str = ""
    before: Written | None = None
    after: Written | None = None
    sounded: tuple[TimedNote, ...] = ()
    sounds: tuple[TimedNote, ...] = ()
    name: str = ""
    alike: tuple[int, ...] = ()
    follows: bool = False

    @property
    def is_music(self) -> bool:
        return not NOT_MUSIC.issuperset(self.kinds)


class Version(Protocol):
    """One version of a solo: what `compare` asks of it."""

    @property
    def source(self) -> SourceText: ...

    @property
    def solo(self) -> Solo: ...

    @property
    def timeline(self) -> Timeline: ...


@dataclass(frozen=True)
class ReadVersion:
    """A version read from its text; `unreadable_lines` are those that could not be read, counted from 1."""

    source: SourceText
    solo: Solo
    unreadable_lines: tuple[int, ...] = ()

    @property
    def unreadable_line(self) -> int | None:
        """The first line that could not be read."""
        return self.unreadable_lines[0] if self.unreadable_lines else None

    @property
    def is_whole(self) -> bool:
        """Whether every line of it could be read."""
        return not self.unreadable_lines

    @cached_property
    def timeline(self) -> Timeline:
        return timeline_of(self.solo)


def read_version(source: SourceText) -> ReadVersion:
    """Read one version. Never raises for what a file contains."""
    reading = read_solo(source)
    lines = tuple(source.locate(span.start)[0] for span in sorted(reading.unreadable))
    return ReadVersion(source, reading.solo, lines)


@dataclass(frozen=True)
class Comparison:
    """Two versions and every change between them, header first, then in the order of the new version."""

    before: Version
    after: Version
    alignment: Alignment
    changes: tuple[Change, ...]

    @property
    def is_empty(self) -> bool:
        return not self.changes

    @property
    def is_music(self) -> bool:
        """Whether anything but layout and comments changed."""
        return any(change.is_music for change in self.changes)

    @cached_property
    def bar_numbers(self) -> dict[int, int]:
        """Bar numbers of the old version to those of the same bars in the new one; what is gone is missing."""
        return self.alignment.bar_numbers(self.before.solo, self.after.solo)
