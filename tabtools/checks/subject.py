"""What a check is given and what it yields."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

from tabtools.hand import DEFAULT_PROFILE, Hand, HandProfile, hand_of
from tabtools.model.solo import Address, Heard, Hold, Like, Place, Solo
from tabtools.notation.build import Reading, read_solo
from tabtools.notation.header import FIELD_NAMES, near_field
from tabtools.problem import Severity
from tabtools.source import SourceText, Span
from tabtools.timeline import TimedNote, Timeline, timeline_of
from tabtools.timeline.readings import other_pitches
from tabtools.timeline.spread import leaves


class Finding(NamedTuple):
    """What a check yields: the place, what is wrong there, what to do about it.

    `address` is the place in the music; `severity` differs from the check's own only where it is given.
    """

    span: Span
    message: str
    advice: str = ""
    address: Address | str = ""
    severity: Severity | None = None


@dataclass(frozen=True)
class Subject:
    """One solo under check: what was read, and facts that several checks ask for, worked out once."""

    reading: Reading
    profile: HandProfile = DEFAULT_PROFILE

    @cached_property
    def timeline(self) -> Timeline:
        return timeline_of(self.solo)

    @cached_property
    def hand(self) -> Hand:
        """The solo as hands play it."""
        return hand_of(self.timeline, self.profile)

    @property
    def solo(self) -> Solo:
        return self.reading.solo

    @property
    def source(self) -> SourceText:
        return self.reading.source

    def read_faults(self, check: str) -> Iterator[Finding]:
        """What the reader itself reported under the name of `check`."""
        for problem in self.reading.problems:
            if problem.check == check:
                yield Finding(problem.span, problem.message, problem.advice)

    @cached_property
    def written_notes(self) -> tuple[TimedNote, ...]:
        """Every written note once, where it is first played: what `like` repeats is left out."""
        notes = self.timeline.notes
        if not any(bar.like for bar in self.timeline.bars):
            return notes
        first: dict[Span, TimedNote] = {}
        for note in notes:
            first.setdefault(note.note.span, note)
        return tuple(first.values())

    @cached_property
    def unreadable(self) -> tuple[Span, ...]:
        """Lines missing from the solo, in the order of the text."""
        return tuple(sorted(self.reading.unreadable))

    def is_unreadable_between(self, start: int, end: int) -> bool:
        """Whether a line that starts within these offsets could not be read."""
        return _is_any_between(self.unreadable, start, end)

    @cached_property
    def _faulty(self) -> tuple[Span, ...]:
        values = [problem.span for problem in self.reading.problems if problem.check == "field-value"]
        return tuple(sorted([*self.unreadable, *values]))

    def is_faulty_between(self, start: int, end: int) -> bool:
        """Whether a line or a value that starts within these offsets could not be read."""
        return _is_any_between(self._faulty, start, end)

    @cached_property
    def _conflicts(self) -> tuple[Span, ...]:
        return tuple(problem.span for problem in self.reading.problems if problem.check == "conflict-marker")

    def is_in_conflict(self, start: int, end: int) -> bool:
        """Whether a conflict marker starts within these offsets, so that both sides of a merge may be there."""
        return _is_any_between(self._conflicts, start, end)

    @cached_property
    def unclear_bars(self) -> frozenset[int]:
        """Numbers of the bars of which it is not known what sounds: part of them, or of the bar before, is lost."""
        if not self.unreadable:
            return frozenset()
        unclear: set[int] = set()
        lost = [span.start for span in reversed(self.unreadable)]
        is_damaged = False
        for bar in self.timeline.bars:
            is_cut_off = is_damaged
            start = (bar.like or bar.written).span.start
            while lost and lost[-1] < start:
                lost.pop()
                is_cut_off = True
            is_damaged = bar.written.damaged
            if is_cut_off or is_damaged:
                unclear.add(bar.number)
        return frozenset(unclear)

    @cached_property
    def bars_without_meter(self) -> frozenset[int]:
        """Numbers of the bars whose meter nobody gave, or gave in a way that could not be read."""
        is_given = any(field.name == "meter" and field.value for field in self.solo.fields)
        is_known = is_given and "meter" not in self.doubtful_fields
        doubts = [span.start for span in reversed(self._faulty) if "meter" in self.source.text[span.start : span.end]]
        if is_known and not doubts:
            return frozenset()
        without: set[int] = set()
        for bar in self.timeline.bars:
            while doubts and doubts[-1] < (bar.like or bar.written).span.end:
                doubts.pop()
                is_known = False
            is_known = is_known or (bar.like is None and bar.written.meter is not None)
            if not is_known or (bar.like is not None and bar.written.number in without):
                without.add(bar.number)
        return frozenset(without)

    def is_context_lost(self, address: Address, span: Span) -> bool:
        """Whether it is not known what sounds just before a slot: lines are lost, and nothing played since."""
        if address.bar not in self.unclear_bars:
            return False
        written = self.timeline.bar_numbers[address.bar].written
        if written.damaged:
            return True
        slots = (slot for line in written.lines for slot in leaves(line.slots))
        return not any(slot.span.start < span.start and type(slot) is not Hold for slot in slots)

    def offers_another_pitch(self, timed: TimedNote) -> bool:
        """Whether another reading of a note sounds neither the pitch it starts at nor the one it reaches."""
        return any(True for _ in self.other_pitches(timed))

    def other_pitches(self, timed: TimedNote) -> Iterator[tuple[Place | Heard, float]]:
        """The other readings of a note that sound neither the pitch it starts at nor the one it reaches."""
        return other_pitches(timed, self.solo.header.instrument)

    def repeat_at(self, address: Address) -> Like | None:
        """The `like` line that makes the bar of this address, None where the bar is written out."""
        return self.timeline.bar_numbers[address.bar].like

    @cached_property
    def doubtful_fields(self) -> frozenset[str]:
        """Header fields that the file tries to give, in a way that could not be read."""
        doubtful: set[str] = set()
        if not self.reading.problems:
            return frozenset()
        at = {field.value_span: field.name for field in self.solo.fields}
        for problem in self.reading.problems:
            if problem.check != "duplicate-field" and problem.span in at:
                doubtful.add(at[problem.span])
        body = self.solo.items[0].span.start if self.solo.items else len(self.source.text)
        attempts = [field.name for field in self.solo.fields if field.name not in FIELD_NAMES]
        attempts += [self.source.text[span.start : span.end] for span in self.unreadable if span.start < body]
        for words in filter(None, (text.replace(":", " ").split() for text in attempts[:_MOST_ATTEMPTS])):
            doubtful.add(near_field(words[0]))
        return frozenset(doubtful)


_MOST_ATTEMPTS = 50


def _is_any_between(spans: tuple[Span, ...], start: int, end: int) -> bool:
    position = bisect_left(spans, (start, start))
    return position < len(spans) and spans[position].start < end


def subject_of(source: SourceText, profile: HandProfile = DEFAULT_PROFILE) -> Subject:
    """Read a source text for checking; `profile` is the player where the solo does not say.

    The last one is kept: a solo that is linted and then drawn is read and timed once.
    """
    return _read(source, source.had_bom, source.had_crlf, profile)


@lru_cache(maxsize=1)
def _read(source: SourceText, _had_bom: bool, _had_crlf: bool, profile: HandProfile) -> Subject:
    """What was tidied away on the way in is no part of a text's equality, and a check asks for it."""
    return Subject(read_solo(source), profile)
