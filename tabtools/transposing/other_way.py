"""The same key by the other way: whether a solo lies better there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from tabtools.hand import DEFAULT_PROFILE, HandProfile
from tabtools.model.solo import Solo
from tabtools.timeline import Timeline, timeline_of
from tabtools.transposing.interval import OCTAVE
from tabtools.transposing.moving import Move
from tabtools.transposing.transposed import Transposed, transpose

HIGH = 15
"""Above this fret the body is in the way of most hands (common practice)."""


class OtherWay(NamedTuple):
    """So many semitones, and the frets from which to which it lies then."""

    semitones: int
    lowest: int
    highest: int


def better_way(
    timeline: Timeline, move: Move, found: Transposed, most: int, profile: HandProfile = DEFAULT_PROFILE
) -> OtherWay | None:
    """The way an octave from `move` where `found`, what became of the solo by it, lies high or cannot be played.

    None where that lies high as well, is more than `most` semitones away or has more to be placed anew.
    """
    if not found.unplayable and highest_fret(found.solo) <= HIGH:
        return None
    interval = move.interval
    octave = -OCTAVE if interval.semitones > 0 or not found.unplayable else OCTAVE
    semitones = interval.semitones + octave
    if not semitones or abs(semitones) > most:
        return None
    other = transpose(timeline, replace(move, interval=interval._replace(semitones=semitones)), "", profile)
    frets = list(_frets(other.solo))
    if other.unplayable or len(other.placed_anew) > len(found.placed_anew) or not frets or max(frets) > HIGH:
        return None
    return OtherWay(semitones, min(frets), max(frets))


def highest_fret(solo: Solo) -> int:
    """The highest fret that a finger takes, bends left out; 0 where none does."""
    return max(_frets(solo), default=0)


def _frets(solo: Solo) -> Iterator[int]:
    for timed in timeline_of(solo).notes:
        if timed.fret and not timed.note.only_moves_pitch:
            yield int(timed.fret)
