"""How fast the notes come: what the picking hand strikes and what the fretting and the tapping hand sound.

A stroke is one motion of the pick however many notes it has. A sweep, one note on each of several neighbouring
strings in one direction, counts as two strokes; what is marked as a rake counts once. Moves written within a
slot share its time evenly.

Nothing is counted where the rhythm is doubtful, or where nothing can be made out, and nothing is told over it. Nor are
plucked notes whose places are not known: they may be part of a sweep.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from tabtools.timeline import TimedNote, Timeline

LEGATO_MOVES = frozenset("hp/\\")
MOVES = LEGATO_MOVES | {"t"}
SECOND = 1.0
BURST = 7
"""Notes that make a burst: fewer are taken for an ornament."""
TREMOLO = 6
"""Strokes on one place that make a run of their own: fewer are part of the line."""
JUST = 1e-6
NO_STRING = -99
"""Next to no other."""


class Crowd(NamedTuple):
    """Notes from index `first` up to but not including `last` of a list of events, and their top rate a second."""

    first: int
    last: int
    rate: float


@dataclass(frozen=True)
class Events:
    """Moments in seconds, in order, and the index of the note that each belongs to."""

    times: list[float]
    notes: list[int]

    def __len__(self) -> int:
        return len(self.times)

    def crowds(self, most: float) -> Iterator[Crowd]:
        """Every stretch in which more than `most` come within a second, as long as it lasts."""
        times, number = self.times, int(most)
        limit = SECOND - JUST
        if not any(later - one < limit for one, later in zip(times, times[number:], strict=False)):
            return
        crowd: Crowd | None = None
        last = 0
        for first, start in enumerate(times):
            while last < len(times) and times[last] - start < limit:
                last += 1
            count = last - first
            if count <= number:
                continue
            if crowd is not None and first >= crowd.last:
                yield crowd
                crowd = None
            crowd = Crowd(crowd.first, last, max(crowd.rate, count)) if crowd else Crowd(first, last, count)
        if crowd is not None:
            yield crowd

    def bursts(self, most: float) -> Iterator[Crowd]:
        """Runs too short for a second of their own in which notes follow faster than `most` a second."""
        times, following = self.times, 0
        shortest = (BURST - 1) / most - JUST
        for first in range(len(times) - BURST + 1):
            if first >= following and times[first + BURST - 1] - times[first] < shortest:
                last = first + BURST
                while last < len(times) and (last - first) / most - JUST > times[last] - times[first]:
                    last += 1
                following = last
                yield Crowd(first, last, (last - first - 1) / max(JUST, times[last - 1] - times[first]))

    def too_fast(self, limits: tuple[float, float]) -> list[Crowd]:
        """Where more come than the warning allows, and bursts beyond the error; in order."""
        warning, error = limits
        crowds = list(self.crowds(warning))
        within = [range(crowd.first, crowd.last) for crowd in crowds if crowd.rate > error]
        crowds += [burst for burst in self.bursts(error) if not any(burst.first in stretch for stretch in within)]
        return sorted(crowds)

    def rates(self, span: float = SECOND) -> Iterator[tuple[int, float]]:
        """For each event its note and how many a second come in the `span` seconds from it on."""
        last = 0
        for first, start in enumerate(self.times):
            while last < len(self.times) and self.times[last] - start < span - JUST:
                last += 1
            yield self.notes[first], (last - first) / span

    def top(self, span: float = SECOND) -> float:
        """The most a second in any stretch of `span` seconds."""
        return max((rate for _, rate in self.rates(span)), default=0.0)

    def among(self, notes: range) -> Events:
        """The events of these notes."""
        kept = [index for index, note in enumerate(self.notes) if note in notes]
        return Events([self.times[index] for index in kept], [self.notes[index] for index in kept])


class Crossing(NamedTuple):
    """The pick goes over so many strings, between two notes, in so many seconds."""

    before: int
    after: int
    strings: int
    seconds: float


class Pace:
    """The events of a solo by technique."""

    def __init__(self, timeline: Timeline):
        self._timeline = timeline
        self._notes = timeline.notes
        self.picked = Events([], [])
        self.legato = Events([], [])
        self.tapped = Events([], [])
        self._runs: list[int] = []
        self._stretches: list[int] = []
        self._collect()

    def _collect(self) -> None:
        notes, total = self._notes, len(self._notes)
        first = step = run = stretch = 0
        before: object = None
        string = 0
        raked = False
        while first < total:
            note = notes[first]
            following = first + 1
            while following < total and notes[following].part > 1:
                following += 1
            if note.line.doubtful or note.note.unheard:
                first, before, step, string = following, None, 0, NO_STRING
                stretch += 1
                continue
            alone = following == first + 1
            vias = (note.via,) if alone else {one.via for one in notes[first:following]}
            if "" in vias and _has_unplaced(notes, first, following):
                before, step, string = None, 0, NO_STRING
                stretch += 1
            elif "" in vias:
                way, string = note.string - string, note.string
                swept = alone and before is not None and way == step and way in (1, -1)
                where = (string, note.fret) if alone else [(one.string, one.fret) for one in notes[first:following]]
                run += where != before
                before, step = where, way if alone else 0
                raked, was_raked = bool(note.marks) and _has(note, "rake"), raked
                if not swept and not (raked and was_raked):
                    self.picked.times.append(note.start)
                    self.picked.notes.append(first)
                    self._runs.append(run)
                    self._stretches.append(stretch)
            elif "t" in vias or not LEGATO_MOVES.isdisjoint(vias):
                events = self.tapped if "t" in vias else self.legato
                events.times.append(note.start)
                events.notes.append(first)
                before, step = None, 0
            if note.motions:
                self._ornament(first, note)
            first = following

    def _ornament(self, index: int, note: TimedNote) -> None:
        moves = [motion for motion in note.motions if motion.arrives and motion.sign in MOVES]
        each = self._timeline.slot_seconds(note) / (len(moves) + 1) if moves else 0.0
        for number, motion in enumerate(moves, 1):
            events = self.tapped if motion.sign == "t" else self.legato
            events.times.append(note.start + each * number)
            events.notes.append(index)

    @property
    def slurs(self) -> int:
        """How many notes are slurred or tapped."""
        return len(self.legato) + len(self.tapped)

    @cached_property
    def tremolo(self) -> Events:
        """The picked strokes of runs on one and the same place."""
        return self._in_runs(True)

    @cached_property
    def changing(self) -> Events:
        """The picked strokes outside such runs."""
        return self._in_runs(False)

    def _in_runs(self, long: bool) -> Events:
        times, notes, runs = self.picked.times, self.picked.notes, self._runs
        if not long and (not runs or runs[-1] - runs[0] == len(runs) - 1):
            return self.picked
        lengths = Counter(runs)
        kept = [index for index, run in enumerate(runs) if (lengths[run] >= TREMOLO) == long]
        return Events([times[index] for index in kept], [notes[index] for index in kept])

    @cached_property
    def all(self) -> Events:
        """Every note that is struck, slurred or tapped, in order."""
        every = sorted(
            (time, note)
            for events in (self.picked, self.legato, self.tapped)
            for time, note in zip(events.times, events.notes, strict=True)
        )
        return Events([time for time, _ in every], [note for _, note in every])

    def crossings(self, within: float = math.inf) -> Iterator[Crossing]:
        """Every change of the pick to a string that is not the next one, in less than so many seconds.

        Fingers of the picking hand are left out, and strokes with a note whose string is not known.
        """
        notes, picked = self._notes, self.picked
        for number, (start, end) in enumerate(pairwise(picked.times)):
            if end - start >= within or self._stretches[number] != self._stretches[number + 1]:
                continue
            before, after = picked.notes[number], picked.notes[number + 1]
            if -1 <= notes[after].string - notes[before].string <= 1:
                continue
            here, there = self._strings(before), self._strings(after)
            strings = min(abs(one - other) for one in here for other in there) if all((*here, *there)) else 0
            if strings > 1 and not _has(notes[after], "rh") and not _has(notes[before], "rh"):
                yield Crossing(before, after, strings, notes[after].start - notes[before].start)

    def _strings(self, index: int) -> list[int]:
        """The strings of the stroke that begins with this note."""
        strings = [self._notes[index].string]
        index += 1
        while index < len(self._notes) and self._notes[index].part > 1:
            strings.append(self._notes[index].string)
            index += 1
        return strings


def _has_unplaced(notes: Sequence[TimedNote], first: int, following: int) -> bool:
    """Whether a note of the stroke is open, and its place does not follow."""
    return any(notes[index].note.is_open and notes[index].fret is None for index in range(first, following))


def _has(note: TimedNote, word: str) -> bool:
    return any(mark.word == word for mark in note.marks)
