"""What is said of when notes begin and how long they last: beats, tuplets, note values, groups."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Any

from tabtools.model.claims import BeatClaim, GroupsClaim, RhythmClaim
from tabtools.study.devices.wording import in_words
from tabtools.study.truth.heard import HeardNotes, top_line
from tabtools.timeline import TimedNote
from tabtools.wording import several

_HALF = Fraction(1, 2)
_NAMES = {
    Fraction(1, 8): "a thirty-second",
    Fraction(1, 4): "a sixteenth",
    Fraction(1, 2): "an eighth",
    Fraction(1): "a quarter",
    Fraction(2): "a half note",
    Fraction(4): "a whole note",
    Fraction(3, 4): "a dotted eighth",
    Fraction(3, 2): "a dotted quarter",
    Fraction(3): "a dotted half note",
}
_TUPLETS = {3: "triplet", 5: "quintuplet", 6: "sextuplet", 7: "septuplet", 9: "nonuplet"}


def rhythm_unknown(heard: HeardNotes) -> str | None:
    """Why nothing can be said of when these notes come; None where it can."""
    for note in heard.struck:
        if note.line.doubtful:
            return f"the rhythm of {note.address} is not certain"
    return None


def _strokes(heard: HeardNotes) -> list[TimedNote]:
    return top_line(heard.struck)


# ---- on which beat


def _beat(statement: BeatClaim, heard: HeardNotes) -> str | None:
    strokes = _strokes(heard)
    if not strokes:
        return "no note begins there"
    for note in strokes:
        if heard.bar_of(note).written.free is not None:
            return f"bar {note.address.bar} is out of time"
        if not _is_on(statement, heard.beats_in(note)):
            return f"{note.address} begins {_when(heard.beats_in(note))}"
    return None


def _is_on(statement: BeatClaim, beats: Fraction) -> bool:
    within = beats % 1
    if statement.count and int(beats) + 1 != statement.count:
        return False
    if statement.is_on:
        return within == 0
    return within == _HALF if statement.count else within != 0


def _when(beats: Fraction) -> str:
    """`on beat 3`, `on the and of 2`, `1/4 beat after beat 2`."""
    count, within = int(beats) + 1, beats % 1
    if within == 0:
        return f"on beat {count}"
    return f"on the and of {count}" if within == _HALF else f"{within} of a beat after beat {count}"


# ---- how long


def _rhythm(statement: RhythmClaim, heard: HeardNotes) -> str | None:
    strokes = _strokes(heard)
    if not strokes:
        return "no note begins there"
    if statement.tuplet:
        return _no_tuplet(statement.tuplet, strokes)
    if statement.value:
        return _no_value(statement.value, strokes)
    return _not_syncopated(strokes, heard)


def _no_tuplet(tuplet: int, strokes: Sequence[TimedNote]) -> str | None:
    for note in strokes:
        if tuplet not in _tuplets_of(note.slot):
            return f"{note.address} is {_value_name(note.slot)}"
    return None


def _tuplets_of(slot: Fraction) -> frozenset[int]:
    """How many equal parts the time has that a slot is one of: what is odd of its denominator; six in a beat are two
    threes."""
    odd = slot.denominator
    while odd % 2 == 0:
        odd //= 2
    return frozenset((odd, 6)) if odd == 3 and slot <= Fraction(1, 6) else frozenset((odd,))


def _value_name(value: Fraction) -> str:
    if value in _NAMES:
        return _NAMES[value]
    odd = max(_tuplets_of(value))
    return f"part of a {_TUPLETS[odd]}" if odd in _TUPLETS else f"{value} of a quarter note"


def _no_value(value: Fraction, strokes: Sequence[TimedNote]) -> str | None:
    for note, after in pairwise(strokes):
        gap = after.onset - note.onset
        if value not in (gap, note.duration):
            return f"{note.address} is {_value_name(min(gap, note.duration))}"
    last = strokes[-1]
    if value not in (last.duration, last.slot):
        return f"{last.address} is {_value_name(last.duration)}"
    return None


def _not_syncopated(strokes: Sequence[TimedNote], heard: HeardNotes) -> str | None:
    """Whether a note begins off the beat and is held over the next one, on which nothing begins."""
    onsets = {note.onset for note in heard.timeline.notes if not note.note.only_moves_pitch}
    for note in strokes:
        bar = heard.bar_of(note)
        into = note.begins.offset % bar.meter.beat
        beat_behind = note.onset - into + bar.meter.beat
        if into and bar.written.free is None and note.release > beat_behind and beat_behind not in onsets:
            return None
    return "no note there begins off the beat and is held over the next one"


# ---- groups


def _groups(statement: GroupsClaim, heard: HeardNotes) -> str | None:
    line = [note for note in _strokes(heard) if note.midi is not None]
    size = statement.size
    if heard.unknown:
        return None
    whole, left = divmod(len(line), size)
    found = f"there are {several(len(line), 'note')} there"
    if whole == 0 or (whole == 1 and not _is_tuplet(size, line)):
        return f"{found}, too few for groups of {in_words(size)}"
    if not (_is_tuplet(size, line) or _is_accented(size, line) or _comes_again(size, line)):
        return f"no figure of {in_words(size)} notes comes again there"
    if statement.is_last_short and not left:
        return f"{found}, {in_words(whole)} groups of {in_words(size)}, and the last one is whole"
    return None


def _is_tuplet(size: int, line: Sequence[TimedNote]) -> bool:
    return all(size in _tuplets_of(note.slot) for note in line)


def _is_accented(size: int, line: Sequence[TimedNote]) -> bool:
    return [any(mark.word == "accent" for mark in note.marks) for note in line] == [
        place % size == 0 for place in range(len(line))
    ]


def _comes_again(size: int, line: Sequence[TimedNote]) -> bool:
    """Whether the line turns at the same places of each group, or its pitches are the same; a straight run does not."""
    pitches = [note.midi or 0 for note in line]
    steps = [(after > before) - (after < before) for before, after in pairwise(pitches)]
    if len(set(steps)) < 2:
        return False
    same = all(pitches[place] == pitches[place - size] for place in range(size, len(pitches)))
    inner = [place for place in range(size, len(steps)) if place % size != size - 1]
    return same or all(steps[place] == steps[place - size] for place in inner)


RULES: Mapping[type, Callable[[Any, HeardNotes], str | None]] = {
    BeatClaim: _beat,
    RhythmClaim: _rhythm,
    GroupsClaim: _groups,
}
