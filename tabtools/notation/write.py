"""The canonical text of a solo: one right way to lay it out, a function of the music and its comments alone."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from tabtools.model.solo import (
    Bar,
    BeatLine,
    ChordMark,
    Comments,
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
)
from tabtools.notation.build import read_solo
from tabtools.notation.limits import MAX_LINE
from tabtools.source import SourceText, from_text

VALUE_COLUMN = 14
SLOT_COLUMN = 5


class FormatError(Exception):
    """The formatter will not touch this file: `message` says why, `advice` what to do."""

    def __init__(self, message: str, advice: str):
        super().__init__(message)
        self.message = message
        self.advice = advice


def formatted(source: SourceText) -> str:
    """The canonical text of a file.

    Proves itself: the new text must read to an equal solo and be its own canonical text. Raises
    `FormatError` where lines cannot be read (they would be lost) and where the proof fails.
    """
    reading = read_solo(source)
    if reading.unreadable:
        line, _ = source.locate(reading.unreadable[0].start)
        raise FormatError(f"line {line} cannot be read", "mend what tabtools lint reports, then format")
    text = canonical(reading.solo)
    if any(len(line) > MAX_LINE for line in text.splitlines()):
        advice = "shorten the longest line"
        raise FormatError(f"a line would have more than {MAX_LINE:,} characters once it is laid out", advice)
    again = read_solo(from_text(text, source.path))
    if again.solo != reading.solo or again.unreadable or canonical(again.solo) != text:
        raise FormatError("formatting would change the music", "this is a fault in tabtools: please report it")
    return text


def canonical(solo: Solo) -> str:
    """The canonical text of a solo, without proof."""
    blocks = ["\n".join(comment.text for comment in solo.remarks)] if solo.remarks else []
    if solo.fields:
        blocks.append("\n".join(line for field in solo.fields for line in _field(field)))
    previous: Item | None = None
    for item in solo.items:
        text = "\n".join(_item(item))
        if isinstance(item, Passage) and isinstance(previous, Passage):
            blocks[-1] += "\n" + text
        else:
            blocks.append(text)
        previous = item
    return "\n\n".join(blocks) + "\n" if blocks else ""


def _field(field: Field) -> Iterator[str]:
    name = f"{field.name}:"
    text = f"{name:<{VALUE_COLUMN - 1}} {field.value}" if field.value else name
    return _commented(text, field.comments)


def _item(item: Item) -> Iterator[str]:
    if isinstance(item, Bar):
        yield from _commented(_bar(item), item.comments)
        for line in item.lines:
            yield from _commented(beat_text(line), line.comments)
    elif isinstance(item, Like):
        yield from _commented(_like(item), item.comments)
    elif isinstance(item, Section):
        yield from _commented(_spaced(f"section {item.label}", item.name), item.comments)
    else:
        yield from _commented(_spaced(f"passage {item.range}", item.name), item.comments)


def _commented(text: str, comments: Comments) -> Iterator[str]:
    for comment in comments.above:
        yield comment.text
    yield _spaced(text, comments.beside.text if comments.beside else "")
    for comment in comments.below:
        yield comment.text


def _spaced(*parts: str) -> str:
    return "  ".join(part for part in parts if part)


def _bar(bar: Bar) -> str:
    return _spaced(
        f"bar {bar.number}",
        _chords(bar.chords),
        f"meter {bar.meter}" if bar.meter else "",
        f"tempo {decimal(bar.tempo)}" if bar.tempo is not None else "",
        f"free {decimal(bar.free)}s" if bar.free is not None else "",
        f"at {clock(bar.at)}" if bar.at is not None else "",
    )


def _like(like: Like) -> str:
    bars = f"bar {like.first}" if like.first == like.last else f"bars {like.first}-{like.last}"
    source = f"{like.like_first}" if like.like_first == like.like_last else f"{like.like_first}-{like.like_last}"
    return _spaced(f"{bars} like {source}", _chords(like.chords))


def _chords(chords: tuple[ChordMark, ...]) -> str:
    return " ".join(chord_text(mark) for mark in chords)


def chord_text(mark: ChordMark) -> str:
    """One chord as it is written on its bar's line."""
    at = f"@{mark.at}" if mark.at else ""
    return f"{mark.symbol}{'?' if mark.doubtful else ''}{at}"


def beat_text(line: BeatLine) -> str:
    """One beat line, without its comments."""
    count = f"{line.first}" if line.first == line.last else f"{line.first}-{line.last}"
    slots = " ".join(slot_text(slot) for slot in line.slots)
    text = f"{count + '?' * line.doubtful:<{SLOT_COLUMN - 1}} {slots}"
    return f"{text} {_marks(line.marks)}" if line.marks else text


def slot_text(slot: Slot) -> str:
    """One slot as it is written, with its weight."""
    if isinstance(slot, Hold):
        text = "-"
    elif isinstance(slot, Rest):
        text = "."
    elif isinstance(slot, Group):
        text = f"({' '.join(slot_text(inner) for inner in slot.slots)})"
    else:
        text = "+".join(note_text(note) for note in slot.notes)
    return f"{text}*{slot.weight}" if slot.weight != 1 else text


def note_text(note: Note) -> str:
    """One note as it is written."""
    if note.unheard:
        return "??"
    text = played_text(note)
    if note.heard is not None:
        text += f"={note.heard.name}"
    if note.others:
        text += "".join(f"?{reading_text(other)}" for other in note.others)
    elif note.unsure:
        text += "?"
    return text + _marks(note.marks)


def played_text(note: Note, with_string: bool = True) -> str:
    """How a note is reached, where it is played and where its pitch goes; what was heard and its marks left aside."""
    if note.unheard:
        return "??"
    string = f"{note.string}:" if with_string and note.string is not None else ""
    text = note.via + string + _place_text(note)
    for motion in note.motions:
        text += motion.sign + _goal_text(motion)
    return text


def _place_text(note: Note) -> str:
    """The fret of a note, or what stands for it."""
    if note.pitch is not None:
        return f"={note.pitch.name}"
    if note.unknown:
        return "?"
    text = "x" if note.dead else ""
    if note.fret is not None:
        text += decimal(note.fret)
    if note.touch is not None:
        text += f"<{decimal(note.touch)}>"
    return text


def _goal_text(motion: Motion) -> str:
    if motion.pitch is not None:
        return f"={motion.pitch.name}"
    return "" if motion.fret is None else decimal(motion.fret)


def reading_text(reading: Place | Heard) -> str:
    """Another reading of a note as it is written."""
    return f"={reading.name}" if isinstance(reading, Heard) else f"{reading.string}:{decimal(reading.fret)}"


def _marks(marks: tuple[Mark, ...]) -> str:
    return f"[{', '.join(str(mark) for mark in marks)}]" if marks else ""


def decimal(value: Fraction | int) -> str:
    """An exact decimal: 9, 5.5, 42.3. The format only ever writes fractions that have one."""
    if value == int(value):
        return str(int(value))
    digits = 0
    while (value * 10**digits).denominator != 1:
        digits += 1
    return f"{int(value * 10**digits) / 10**digits:.{digits}f}"


def clock(seconds: Fraction) -> str:
    """A place in a recording as minutes and seconds: 0:42.3."""
    minutes, rest = divmod(seconds, 60)
    text = decimal(rest)
    return f"{minutes}:{text.zfill(2) if '.' not in text else text.zfill(len(text.split('.')[1]) + 3)}"
