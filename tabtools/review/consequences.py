"""What a correction brings with it: findings that appear and vanish, claims that become false, work for the hands."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tabtools.hand import Hand
from tabtools.hand.demands import Demands, FastestShift, WidestBend, WidestReach, demands_of
from tabtools.hand.strain import HARD, BarStrain, strains_of
from tabtools.model.solo import Address
from tabtools.problem import Problem, Severity
from tabtools.review.change import Comparison
from tabtools.review.references import Touched
from tabtools.source import SourceText
from tabtools.timeline import Timeline

CLAIM = "claim"
_OF_ONE_PLACE = frozenset({CLAIM, "open-pitch"})
"""Checks whose finding at another place is another: a claim, a note whose pitch is not known."""
NOTICEABLE_STRAIN = 0.05


@dataclass(frozen=True, slots=True)
class Effort:
    """A figure of the hands that is another now; `at` is where the new one is reached, None where there is none.

    `what` is `reach`, `shift`, `bend`, or a technique of `hand.demands.Rate`; `was` and `now` are millimetres, the
    share of the time a shift leaves (needed over there), semitones, notes a second; None where there was none.
    """

    what: str
    was: float | None
    now: float | None
    at: Address | None = None


@dataclass(frozen=True, slots=True)
class BarEffort:
    """A bar that strains the hands otherwise than before."""

    was: BarStrain
    now: BarStrain


@dataclass(frozen=True, slots=True)
class Consequences:
    """What follows from a correction.

    `before` and `after` are all that a lint says of the two versions, lessons included; `appeared` and `vanished` are
    those of them that are not in the other. `references` are places of other lessons that lead to what changed.
    `unread` are lines of the older version that could not be read, by their numbers.
    """

    appeared: tuple[Problem, ...] = ()
    vanished: tuple[Problem, ...] = ()
    efforts: tuple[Effort, ...] = ()
    bars: tuple[BarEffort, ...] = ()
    references: tuple[Touched, ...] = ()
    before: tuple[Problem, ...] = ()
    after: tuple[Problem, ...] = ()
    unread: tuple[tuple[int, str], ...] = ()

    def __bool__(self) -> bool:
        return bool(self.appeared or self.vanished or self.efforts or self.bars or self.references)

    @property
    def false_claims(self) -> tuple[Problem, ...]:
        """Claims of the lesson that are not true any more."""
        return tuple(one for one in self.appeared if one.check == CLAIM and one.severity is not Severity.NOTE)


def consequences_of(
    comparison: Comparison,
    findings: tuple[Sequence[Problem], Sequence[Problem]],
    hands: tuple[Hand, Hand] | None = None,
) -> Consequences:
    """What changes with a correction. `findings` are those of a lint before and after, lessons included."""
    was = _ProblemPlace(comparison.before.source, comparison.bar_numbers)
    appeared, vanished = _differences(*findings, was, _ProblemPlace(comparison.after.source))
    efforts: tuple[Effort, ...] = ()
    bars: tuple[BarEffort, ...] = ()
    if hands is not None and comparison.is_music:
        if _open_places(hands[0].timeline) == _open_places(hands[1].timeline):
            efforts = tuple(_efforts(*(demands_of(hand) for hand in hands)))
        bars = tuple(_bar_efforts(comparison, *hands))
    was_found, is_found = map(tuple, findings)
    return Consequences(appeared, vanished, efforts, bars, (), was_found, is_found)


def findings_compared(
    sources: tuple[SourceText, SourceText], findings: tuple[Sequence[Problem], Sequence[Problem]]
) -> Consequences:
    """What a lint says otherwise of two texts that cannot be compared as music: bars go by their numbers."""
    differences = _differences(*findings, *map(_ProblemPlace, sources))
    return Consequences(*differences, before=tuple(findings[0]), after=tuple(findings[1]))


# ---- findings


def _differences(
    before: Sequence[Problem], after: Sequence[Problem], was: _ProblemPlace, now: _ProblemPlace
) -> tuple[tuple[Problem, ...], tuple[Problem, ...]]:
    """What appeared and what vanished.

    Findings of one check and severity are the same where place and words are, then where the place is, and for claims
    what the lesson says of it, then where they point at the same text of one bar; places are those of the new version,
    however its bars are numbered.
    """
    rules: tuple[Callable[[Problem, _ProblemPlace], Hashable], ...] = (
        lambda one, place: (place.address(one), one.message),
        lambda one, place: (place.address(one), _said(one)) if one.address else None,
        lambda one, place: (place.bar(one), place.text(one), _words(one)) if one.check not in _OF_ONE_PLACE else None,
    )
    old, new = dict(enumerate(before)), dict(enumerate(after))
    for rule in rules:
        known: dict[Hashable, list[int]] = {}
        for index, problem in old.items():
            if (key := rule(problem, was)) is not None:
                known.setdefault((problem.check, problem.severity, key), []).append(index)
        for index, problem in list(new.items()):
            if same := known.get((problem.check, problem.severity, rule(problem, now))):
                del old[same.pop(0)], new[index]
    return tuple(new.values()), tuple(old.values())


def _said(problem: Problem) -> str:
    """What a lesson says of the place a claim names: several claims may speak of one."""
    return problem.message.partition("; the text says ")[2] if problem.check == CLAIM else ""


def _words(problem: Problem) -> str:
    """A message without its figures, in which numbers of bars may stand."""
    return re.sub(r"[0-9]+", "0", problem.message)


@dataclass(frozen=True)
class _ProblemPlace:
    """Where the findings of one version lie; `numbers` are those its bars have in the new one, where they differ."""

    source: SourceText
    numbers: Mapping[int, int] = field(default_factory=dict)

    def address(self, problem: Problem) -> str:
        """The address in the new version; a claim says its own, which no renumbering of bars touches."""
        if problem.check == CLAIM:
            return problem.address
        return re.sub(r"(?<![0-9.])[0-9]+", self._renumbered, problem.address)

    def bar(self, problem: Problem) -> str:
        return self.address(problem).partition(".")[0]

    def _renumbered(self, match: re.Match[str]) -> str:
        number = int(match.group())
        return str(self.numbers.get(number, number))

    def text(self, problem: Problem) -> str:
        source = self.source
        return source.text[problem.span.start : problem.span.end] if problem.path == source.path else ""


# ---- hands


def _efforts(before: Demands, after: Demands) -> Iterator[Effort]:
    extremes = (
        ("reach", before.reach, after.reach),
        ("shift", before.shift, after.shift),
        ("bend", before.bend, after.bend),
    )
    for name, one, other in extremes:
        was, now = _size(one), _size(other)
        is_easy = name == "shift" and max(was or 0, now or 0) < HARD
        if was != now and not is_easy:
            yield Effort(name, was, now, other.at if other else None)
    for rate, rate_now in zip(before.rates, after.rates, strict=True):
        if round(rate.top, 1) != round(rate_now.top, 1):
            yield Effort(rate.technique, rate.top or None, rate_now.top or None)


def _size(found: WidestReach | FastestShift | WidestBend | None) -> float | None:
    """To the precision it is told in, so that what reads the same is the same."""
    if isinstance(found, WidestReach):
        return float(round(found.mm))
    if isinstance(found, FastestShift):
        return round(found.needed / max(found.seconds, 1e-6), 2)
    return round(found.semitones, 2) if found else None


def _open_places(timeline: Timeline) -> int:
    """How many notes, and stretches that are not heard, have no place."""
    return sum(note.note.is_open and note.fret is None for note in timeline.notes)


def _known_bars(timeline: Timeline) -> frozenset[int]:
    """The bars in which something is played, and it is known where."""
    is_open = {note.address.bar: False for note in timeline.notes}
    is_open |= {note.address.bar: True for note in timeline.notes if note.note.is_open and note.fret is None}
    return frozenset(bar for bar, unknown in is_open.items() if not unknown)


def _bar_efforts(comparison: Comparison, before: Hand, after: Hand) -> Iterator[BarEffort]:
    """Hard bars of which no more was written: that more notes are more work is no news."""
    old = {strain.bar: strain for strain in strains_of(before)}
    new = {strain.bar: strain for strain in strains_of(after)}
    known = _known_bars(before.timeline), _known_bars(after.timeline)
    notes = [Counter(note.address.bar for note in hand.timeline.notes) for hand in (before, after)]
    for number, other in comparison.bar_numbers.items():
        if number not in known[0] or other not in known[1] or notes[0][number] < notes[1][other]:
            continue
        was, now = old.get(number), new.get(other)
        if was and now and max(was.strain, now.strain) >= HARD and abs(was.strain - now.strain) >= NOTICEABLE_STRAIN:
            yield BarEffort(was, now)
