"""Notes written for one tuning that a merge would put into another: a retuning on one side, other frets on the other.

A fret says how a note is to be played; which pitch it is, the tuning says. Where one side retunes, what the other wrote
meanwhile may be right as a fret or right as a pitch, and only ears can tell. So a bar in which such notes would stand
is left to be decided. Strings that sound as before, and notes that both sides have, are no question.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import cache

from tabtools.model.instrument import Instrument
from tabtools.model.solo import Bar, Field, Solo, notes_of
from tabtools.notation.header import read_header
from tabtools.timeline import timeline_of

OURS, THEIRS = 1, 2


class Tunings:
    """The tunings of both sides, and those the merged header may come to (one for each side of a conflict there)."""

    def __init__(self, versions: Sequence[Solo], headers: Iterable[Sequence[Field]]):
        finals = [read_header(fields, "", []).instrument for fields in headers]
        self._retuned = {side: _retuned(versions[side].header.instrument, finals) for side in (OURS, THEIRS)}
        self._strings = cache(lambda side: _strings(versions[side]))

    def are_mixed_in(self, merged: Bar, own: Mapping[int, Bar | None]) -> bool:
        """Whether a merged bar has notes of a side for which the strings would sound otherwise.

        `own` is what each side has there. A note that the other side has too is not in question.
        """
        for side, other in ((OURS, THEIRS), (THEIRS, OURS)):
            strings = self._retuned[side]
            if strings and self._places(merged, side, strings) - self._places(own[other], other, strings):
                return True
        return False

    def _places(self, bar: Bar | None, side: int, strings: frozenset[int]) -> Counter[tuple[object, ...]]:
        """Where a side's notes in a bar are played, as far as they are played on these strings."""
        known = self._strings(side)
        found: Counter[tuple[object, ...]] = Counter()
        for line in bar.lines if bar else ():
            for note in notes_of(line):
                string = known.get(id(note))
                used = {string, *(other.string for other in note.other_places)}
                frets = tuple(motion.fret for motion in note.motions if motion.fret is not None)
                is_fretted = not (note.dead or (note.is_open and not frets))
                if string is not None and is_fretted and not used.isdisjoint(strings):
                    found[string, note.fret, note.touch, frets, note.others] += 1
        return found


def _retuned(own: Instrument, finals: Iterable[Instrument]) -> frozenset[int]:
    """The strings that sound otherwise, unfretted, than in the side's own tuning."""
    return frozenset(
        string
        for final in finals
        for string in range(1, max(own.strings, final.strings) + 1)
        if not (own.has_string(string) and final.has_string(string)) or own.open_midi(string) != final.open_midi(string)
    )


def _strings(solo: Solo) -> dict[int, int]:
    """The string of each written note, by the note's identity."""
    return {id(note.note): note.string for note in reversed(timeline_of(solo).notes)}
