"""A solo put into lines of plain text, for case files to say what was read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from fractions import Fraction

from tabtools.model.instrument import Instrument
from tabtools.model.solo import (
    Bar,
    BeatLine,
    ChordMark,
    Comments,
    Group,
    Header,
    Heard,
    Hold,
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


def described(solo: Solo) -> Iterator[str]:
    """One line for each thing read; the first word says which kind of thing."""
    yield from _header(solo.header)
    for remark in solo.remarks:
        yield f"comment alone: {remark.text}"
    for entry in solo.fields:
        yield f"field {entry.name}: {entry.value}".rstrip()
        yield from _comments(f"field {entry.name}", entry.comments)
    for item in solo.items:
        yield from _item(item)


def _header(header: Header) -> Iterator[str]:
    for record, default in ((header, Header()), (header.instrument, Instrument())):
        for field in fields(record):
            value = getattr(record, field.name)
            if value != getattr(default, field.name) and field.name != "instrument":
                yield f"header {field.name}={_value(value)}"


def _value(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(str(one) for one in value)
    return f"{float(value):g}" if isinstance(value, Fraction | float) else str(value)


def _item(item: Section | Bar | Like | Passage) -> Iterator[str]:
    if isinstance(item, Section):
        name = f"section {item.label}"
        yield f"{name} {item.name}".rstrip()
    elif isinstance(item, Passage):
        name = f"passage {item.range}"
        yield f"{name} {item.name}".rstrip()
    elif isinstance(item, Like):
        name = f"like {item.first}-{item.last}"
        yield _joined(f"{name} of {item.like_first}-{item.like_last}", _chords(item.chords))
    else:
        name = f"bar {item.number}"
        yield _joined(name, _chords(item.chords), *(_of_bar(item, word) for word in ("at", "meter", "tempo", "free")))
    yield from _comments(name, item.comments)
    if isinstance(item, Bar):
        for line in item.lines:
            yield from _line(line, item.number)


def _of_bar(bar: Bar, word: str) -> str:
    value = getattr(bar, word)
    return "" if value is None else f"{word}={_value(value)}"


def _chords(chords: tuple[ChordMark, ...]) -> str:
    marks = [f"{mark.symbol}{'?' * mark.doubtful}{f'@{mark.at}' if mark.at else ''}" for mark in chords]
    return f"chords={' '.join(marks)}" if marks else ""


def _comments(name: str, comments: Comments) -> Iterator[str]:
    for comment in comments.above:
        yield f"comment above {name}: {comment.text}"
    if comments.beside:
        yield f"comment beside {name}: {comments.beside.text}"
    for comment in comments.below:
        yield f"comment below {name}: {comment.text}"


def _line(line: BeatLine, bar: int) -> Iterator[str]:
    counts = f"{line.first}" if line.first == line.last else f"{line.first}-{line.last}"
    slots = " ".join(_slot(slot) for slot in line.slots)
    doubtful = "doubtful" if line.doubtful else ""
    yield _joined(f"beat {bar}.{counts}", doubtful, f"slots={slots}", _marks(line.marks))
    yield from _comments(f"beat {bar}.{counts}", line.comments)
    for number, stroke in enumerate(_strokes(line.slots), 1):
        for note in stroke.notes:
            yield f"note {bar}.{line.first}.{number} {_note(note)}"


def _slot(slot: Slot) -> str:
    weight = "" if slot.weight == 1 else f"*{slot.weight}"
    if isinstance(slot, Group):
        return f"group({' '.join(_slot(inner) for inner in slot.slots)}){weight}"
    kind = {Stroke: "stroke", Hold: "hold", Rest: "rest"}[type(slot)]
    return kind + weight


def _strokes(slots: tuple[Slot, ...]) -> Iterator[Stroke]:
    for slot in slots:
        if isinstance(slot, Stroke):
            yield slot
        elif isinstance(slot, Group):
            yield from _strokes(slot.slots)


def _note(note: Note) -> str:
    motions = ",".join(f"{motion.sign}{_goal(motion)}" for motion in note.motions)
    return _joined(
        f"via={note.via}" if note.via else "",
        f"string={note.string}",
        "dead" if note.dead else "",
        f"pitch={note.pitch.name}={note.pitch.midi}" if note.pitch else "",
        "unknown" if note.unknown else "",
        "unheard" if note.unheard else "",
        f"fret={_value(note.fret)}" if note.fret is not None else "",
        f"touch={_value(note.touch)}" if note.touch is not None else "",
        f"motions={motions}" if motions else "",
        f"heard={note.heard.name}={note.heard.midi}" if note.heard else "",
        "unsure" if note.unsure else "",
        *(f"other={_reading(other)}" for other in note.others),
        _marks(note.marks),
    )


def _goal(motion: Motion) -> str:
    if motion.pitch is not None:
        return f"={motion.pitch.name}"
    return "" if motion.fret is None else _value(motion.fret)


def _reading(other: Place | Heard) -> str:
    return f"={other.name}" if isinstance(other, Heard) else f"{other.string}:{_value(other.fret)}"


def _marks(marks: tuple[Mark, ...]) -> str:
    return f"marks={','.join(str(mark) for mark in marks)}" if marks else ""


def _joined(*parts: str) -> str:
    return " ".join(part for part in parts if part)
