"""The closed table of marks: words in square brackets that say how a note is played."""

from __future__ import annotations

from dataclasses import dataclass

from tabtools.model.solo import Mark
from tabtools.source import Span, is_number

MOST_FIGURES = 3


@dataclass(frozen=True, slots=True)
class MarkKind:
    """A mark the format knows: what it means, and the arguments it takes (`fret` for any fret number)."""

    meaning: str
    arguments: tuple[str, ...] = ()


MARKS = {
    "pm": MarkKind("palm mute"),
    "ring": MarkKind("lets the string ring on until it is played again or a rest comes"),
    "stacc": MarkKind("staccato"),
    "accent": MarkKind("accent"),
    "ghost": MarkKind("ghost note, barely sounded"),
    "down": MarkKind("down-stroke of the pick"),
    "up": MarkKind("up-stroke of the pick"),
    "roll": MarkKind("the notes of the chord one after another"),
    "rake": MarkKind("rake across muted strings into the note"),
    "trem": MarkKind("tremolo picking"),
    "trill": MarkKind("trill with the given fret", ("fret",)),
    "pinch": MarkKind("pinch harmonic"),
    "swell": MarkKind("volume swell"),
    "lh": MarkKind("finger of the fretting hand", ("1", "2", "3", "4", "T")),
    "rh": MarkKind("plucking or tapping finger", ("p", "i", "m", "a", "c")),
}


def mark_of(words: list[str], span: Span) -> Mark:
    """The words between two commas as a mark; whether it exists is for the check `unknown-mark`."""
    return Mark(words[0], " ".join(words[1:]), span)


def fret_named(argument: str) -> int | None:
    """The fret that an argument names, None where it names none: three figures at most, as every fret has."""
    return int(argument) if is_number(argument) and len(argument) <= MOST_FIGURES else None


def accepts(mark: Mark) -> bool:
    """Whether the mark is in the table and its argument is one it takes."""
    kind = MARKS.get(mark.word)
    if kind is None:
        return False
    if kind.arguments == ("fret",):
        return fret_named(mark.argument) is not None
    return mark.argument in kind.arguments if kind.arguments else not mark.argument
