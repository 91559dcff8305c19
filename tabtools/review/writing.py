"""Parts of a solo as they are written, for reports."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tabtools.model.solo import NO_COMMENTS, Bar, BeatLine, Comments, Field, Hold, Item, Mark, Note, Solo
from tabtools.notation.write import beat_text, canonical, note_text

_NO_SLOTS = (Hold(),)


def field_text(field: Field) -> str:
    return f"{field.name}: {field.value}".rstrip()


def item_text(item: Item) -> str:
    """A section, bar, repeat or passage in canonical form, without its comments."""
    bare = replace(item, comments=NO_COMMENTS)
    if isinstance(bare, Bar):
        bare = replace(bare, lines=tuple(replace(line, comments=NO_COMMENTS) for line in bare.lines))
    return canonical(Solo(items=(bare,))).rstrip("\n")


def said_of_bar(bar: Bar, *names: str) -> str:
    """What stands on a bar line behind the number, of the things named: `chords`, `at`, `meter`, `tempo`, `free`."""
    said = Bar(0, **{name: getattr(bar, name) for name in names})
    return item_text(said).removeprefix("bar 0").strip()


def line_text(line: BeatLine) -> str:
    """A beat line with one space behind its count."""
    count, _, slots = beat_text(line).partition(" ")
    return f"{count} {slots.lstrip()}"


def counts_text(line: BeatLine) -> str:
    """`1-2?`: the counts of a line, and whether they are in doubt."""
    return line_text(line).partition(" ")[0]


def marks_text(marks: tuple[Mark, ...]) -> str:
    return line_text(BeatLine(1, 1, _NO_SLOTS, marks)).removeprefix("1 -").strip()


def stroke_text(notes: Iterable[Note]) -> str:
    return "+".join(note_text(note) for note in notes)


def comments_text(comments: Comments) -> str:
    return " ".join(comment.text for comment in comments.all())
