"""Strokes over several strings: rolled chords, and damped strings raked on the way to a note."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from tabtools.performance.conventions import RAKE, RAKED_STRINGS, ROLL, ROLL_SHARE
from tabtools.timeline import TimedNote


def strokes_of(notes: Sequence[TimedNote]) -> Iterator[list[TimedNote]]:
    """The notes, those of one stroke together."""
    for _, chord in groupby(notes, key=lambda note: (note.begins, note.address)):
        yield list(chord)


def roll_delays(chord: Sequence[TimedNote]) -> dict[int, float]:
    """How much later than written each note of a rolled chord is struck, by index: from the low string up, or down.

    Where strings are not known it runs from the lowest pitch up, or down.
    """
    words = _words(chord)
    if "roll" not in words or len(chord) == 1:
        return {}
    room = max(0.0, min(note.end - note.start for note in chord))
    step = min(ROLL, ROLL_SHARE * room / (len(chord) - 1))
    is_placed = all(note.string for note in chord)
    ordered = sorted(
        chord,
        key=lambda note: -note.string if is_placed else note.attack or 0.0,
        reverse="up" in words,
    )
    return {note.index: step * place for place, note in enumerate(ordered)}


def raked(chord: Sequence[TimedNote], strings: int) -> Iterator[tuple[int, float]]:
    """(string, moment) of the damped strings brushed before a stroke: lower ones, or higher ones with an up stroke.

    Where there are too few on that side, those of the other side are brushed; beside strings not known, none.
    """
    words = _words(chord)
    if "rake" not in words or not all(note.string for note in chord):
        return
    low, high = max(note.string for note in chord), min(note.string for note in chord)
    comes_from_below = low + RAKED_STRINGS <= strings if "up" not in words else high - RAKED_STRINGS < 1
    for place in range(RAKED_STRINGS, 0, -1):
        string = low + place if comes_from_below else high - place
        moment = chord[0].start - RAKE * place
        if 1 <= string <= strings and moment >= 0:
            yield string, moment


def _words(chord: Sequence[TimedNote]) -> set[str]:
    return {mark.word for note in chord for mark in note.marks}
