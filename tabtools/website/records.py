"""What pages carry for their scripts: each record, its fields in the order in which they are written, and how.

A record is written as a list of its values, which keeps pages small. The other side is `assets/records.js`: it has the
same fields, in camel case, and gives them their names back. A test holds the two together.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, NamedTuple

from markupsafe import Markup

from tabtools.website.markup import trusted

STRIKE_KINDS = ("plucked", "hammered", "pulled", "tapped", "muted", "dead", "harmonic", "pinched", "tick")
"""How a string is set going; written as the place in this list."""
SHAPES = ("jump", "glide", "frets")
"""How a point of a pitch curve is reached: at once, smoothly from the point before, or fret by fret."""

FACTS = {
    **dict.fromkeys(("title", "key", "meter"), "text"),
    "tempo": "number",
    "tuning": "text",
    **dict.fromkeys(("rate", "reach", "bend"), "number"),
    **dict.fromkeys(("technique", "device", "chord"), "list"),
}
"""What a row of the index says of its solo in `data-` attributes, and of what kind it is; names in a list have spaces
between them."""


class BarRecord(NamedTuple):
    """A bar of the score; times in milliseconds of the score, `recorded_at` in those of the recording.

    A bar out of time has no counts; `onsets` are those of its strokes.
    """

    number: int
    start: int
    first_count: int
    counts: int
    meter_counts: int
    onsets: list[int]
    recorded_at: int | None = None


class StrikeRecord(NamedTuple):
    """A string set going: milliseconds since its voice began, a place in `STRIKE_KINDS`, percent."""

    at: int
    kind: int
    level: int


class PointRecord(NamedTuple):
    """A point of a pitch curve: milliseconds since its voice began, cents above MIDI number 0, a place in `SHAPES`."""

    at: int
    cents: int
    shape: int


class VibratoRecord(NamedTuple):
    """Vibrato: milliseconds since its voice began, cents to either side."""

    from_: int
    to: int
    cents: int


class SwellRecord(NamedTuple):
    """A swell of the volume from nothing: milliseconds since its voice began."""

    from_: int
    to: int


class ChordRecord(NamedTuple):
    """A chord from a moment in milliseconds on; pitch classes, 0 is C: its root and its other tones up from there.

    Without tones where no chord is named, or none that can be read.
    """

    at: int
    tones: list[int]


class VoiceRecord(NamedTuple):
    """One string from the moment it is plucked until it stops: milliseconds, and lists of records written `flat`."""

    start: int
    duration: int
    strikes: list[int]
    curve: list[int]
    vibrato: list[int] | None = None
    swells: list[int] | None = None
    fades_from: int | None = None


class NoteRecord(NamedTuple):
    """What is known of a note: its labels as printed, its role with the rule and the sentence, who frets it where.

    `chord`, `key`, `name`, `other` and `digit`, the finger, are the choices of what stands under the notes.
    """

    chord: str
    key: str
    name: str
    kind: str
    rule: str
    sentence: str
    finger: str
    position: str
    other: str
    digit: str


class FigureBlocks(NamedTuple):
    """Where to look for figures: how many blocks of solos there are, and the runs of those in which one degree, or one
    step, follows another, by both (`3 7`). A block is a list of `FiguresRecord`s.
    """

    blocks: int
    degrees: dict[str, str]
    steps: dict[str, str]


class FiguresRecord(NamedTuple):
    """A solo of the index that figures are searched in.

    Steps are intervals in quarter tones from the stroke before, degrees semitones above the root of the chord; None
    where there is none. Places say how many strokes follow one another on a line: `5.2 3` for the three strokes of bar
    5, count 2.
    """

    address: str
    title: str
    steps: list[int | None]
    degrees: list[int | None]
    places: str


class WrittenBar(NamedTuple):
    """Where a bar stands in its text: its first line, and the line after the last.

    Where that is a line of `bars … like`: the bar that is repeated, the first and last bar that the line speaks of.
    """

    number: int
    start: int
    end: int
    repeats: int | None = None
    first: int | None = None
    last: int | None = None


def listed(record: tuple[Any, ...]) -> list[Any]:
    """A record as it is written: its values, without those at its end that are None."""
    values = list(record)
    while values and values[-1] is None:
        values.pop()
    return values


def flat(records: Iterable[tuple[int, ...]]) -> list[int]:
    """Records of numbers, one after the other in a single list."""
    return [number for record in records for number in record]


def inlined(data: Any) -> Markup:
    """Plain values as JSON that can stand within a `script` element."""
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return trusted(text.replace("<", "\\u003c"))
