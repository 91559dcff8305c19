"""How a note is played otherwise, in a teacher's words: `now hammered`, `no longer pulled off`, `now with vibrato`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from tabtools.checks.wording import in_a_row
from tabtools.model.solo import Mark, Note

REACHED = {
    "h": "hammered",
    "p": "pulled off",
    "/": "slid up to",
    "\\": "slid down to",
    "t": "tapped",
    "b": "bent to",
    "r": "released to",
    "w": "reached by the vibrato bar",
}
MOVES = {
    "h": "a hammer-on",
    "p": "a pull-off",
    "/": "a slide up",
    "\\": "a slide down",
    "t": "a tap",
    "b": "a bend",
    "r": "a release",
    "w": "a move of the vibrato bar",
    "pb": "a bend before it is struck",
}
AWAY = {"/": "slid away upwards", "\\": "slid away downwards"}
VIBRATO = {"": "without vibrato", "~": "with vibrato", "~~": "with wide vibrato"}


def playing_in_words(before: Note, after: Note) -> str:
    """What is different in how a note is played: reached, moved, marked."""
    return ", ".join(_playing(before, after)) or "played otherwise"


def marks_in_words(before: Iterable[Mark], after: Iterable[Mark]) -> str:
    """Marks that came and went: `now marked pm, no longer marked accent`."""
    return ", ".join(_came_and_went(map(str, before), map(str, after), "now marked", "no longer marked"))


def _playing(before: Note, after: Note) -> Iterator[str]:
    if before.via != after.via:
        was_so, is_so = (REACHED.get(note.via, "") for note in (before, after))
        if was_so and is_so:
            yield f"now {is_so} instead of {was_so}"
        else:
            yield f"now {is_so}" if is_so else f"no longer {was_so}"
    was, now = (tuple(_states(note)) for note in (before, after))
    yield from _came_and_went(was, now, "now", "no longer")
    moved, moves = ([MOVES[one.sign] for one in note.motions if one.arrives] for note in (before, after))
    yield from _came_and_went(moved, moves, "now with", "now without")
    shaken, shakes = map(_vibrato, (before, after))
    if shaken != shakes:
        yield f"now {VIBRATO[shakes]}"
    if said := marks_in_words(before.marks, after.marks):
        yield said


def _states(note: Note) -> Iterator[str]:
    if note.dead:
        yield "a dead note"
    if note.touch is not None:
        yield "a harmonic"
    yield from (AWAY[one.sign] for one in note.motions if one.sign in AWAY and not one.arrives)


def _vibrato(note: Note) -> str:
    return next((one.sign for one in note.motions if one.sign in VIBRATO), "")


def _came_and_went(was: Iterable[str], now: Iterable[str], came: str, went: str) -> Iterator[str]:
    old, new = Counter(was), Counter(now)
    for words, some in ((came, new - old), (went, old - new)):
        if some:
            yield f"{words} {in_a_row(list(some), 'and')}"
