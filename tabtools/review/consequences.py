"""What a correction brings with it: findings that appear and vanish, claims that become false, work for the hands."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Container, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from tabtools.hand import Hand
from tabtools.hand.demands import Demands, FastestShift, WidestBend, WidestReach, demands_of
from tabtools.hand.strain import HARD, BarStrain, strains_of
from tabtools.model.solo import Address
from tabtools.notation.claims import spans_of_claims
from tabtools.problem import Problem, Severity
from tabtools.review.change import Comparison
from tabtools.review.references import Touched
from tabtools.source import SourceText, Span, is_number
from tabtools.timeline import Timeline

CLAIM = "claim"
_OPEN_PITCH = "open-pitch"
_GAP = re.compile(r"what is played (?:in bars [0-9]+ to (?P<last>[0-9]+)|here) is not heard yet")
"""What is said of a stretch that is not heard, with its last bar where it has several."""
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
class OldNumbers:
    """What a lesson still says by numbers that bars had before: how many claims and links, and bars named in words.

    `words` are (line, what stands there, what is true now); `holds_at` has, for claims that are false now, where they
    hold.
    """

    claims: int = 0
    links: int = 0
    words: tuple[tuple[int, str, str], ...] = ()
    holds_at: Mapping[Span, str] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.claims or self.links or self.words)


@dataclass(frozen=True, slots=True)
class Consequences:
    """What follows from a correction.

    `before` and `after` are all that a lint says of the two versions, lessons included; `appeared` and `vanished` are
    those of them that are not in the other. `references` are places of other lessons that lead to what changed.
    `unread` are lines of the older version that could not be read, by their numbers. `unseen` are those of `vanished`
    of which nothing is known, as lines of the new version cannot be read. `new_claims` are the texts of claims that
    the older lesson does not make.
    """

    appeared: tuple[Problem, ...] = ()
    vanished: tuple[Problem, ...] = ()
    efforts: tuple[Effort, ...] = ()
    bars: tuple[BarEffort, ...] = ()
    references: tuple[Touched, ...] = ()
    before: tuple[Problem, ...] = ()
    after: tuple[Problem, ...] = ()
    unread: tuple[tuple[int, str], ...] = ()
    unseen: tuple[Problem, ...] = ()
    new_claims: frozenset[Span] = frozenset()
    old_numbers: OldNumbers = field(default_factory=OldNumbers)

    def __bool__(self) -> bool:
        found = self.appeared or self.vanished or self.efforts or self.bars or self.references
        return bool(found or self.old_numbers)

    @property
    def false_claims(self) -> tuple[Problem, ...]:
        """Claims of the lesson that are not true, and were not found to be so before."""
        return tuple(one for one in self.appeared if one.check == CLAIM and not _is_note(one))

    @property
    def never_true(self) -> tuple[Problem, ...]:
        """Those of the false claims that are new."""
        return tuple(one for one in self.false_claims if one.span in self.new_claims)

    @property
    def turned_out_false(self) -> tuple[Problem, ...]:
        """Those of the false claims of which it was open before whether they are true."""
        left_open = {(one.address, _said(one)) for one in self.before if one.check == CLAIM and _is_note(one)}
        false = (one for one in self.false_claims if one.span not in self.new_claims)
        return tuple(one for one in false if (one.address, _said(one)) in left_open)

    @property
    def no_longer_true(self) -> tuple[Problem, ...]:
        """Those of the false claims that were true."""
        others = (*self.never_true, *self.turned_out_false)
        return tuple(one for one in self.false_claims if one not in others)

    @property
    def settled(self) -> tuple[Problem, ...]:
        """What vanished, as far as the lines can be read in which it was."""
        return tuple(one for one in self.vanished if one not in self.unseen)


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
    sources: tuple[SourceText, SourceText],
    findings: tuple[Sequence[Problem], Sequence[Problem]],
    read_bars: Container[int],
) -> Consequences:
    """What a lint says otherwise of two texts that cannot be compared as music: bars go by their numbers.

    `read_bars` are the bars of the new version of which every line could be read.
    """
    appeared, vanished = _differences(*findings, *map(_ProblemPlace, sources))
    found = Consequences(appeared, vanished, before=tuple(findings[0]), after=tuple(findings[1]))
    places = [(one, one.address.partition(".")[0].partition("-")[0]) for one in vanished]
    return replace(found, unseen=tuple(one for one, bar in places if is_number(bar) and int(bar) not in read_bars))


def claims_written_anew(before: SourceText | None, after: SourceText | None) -> frozenset[Span]:
    """Where a lesson claims what the older one does not."""
    known = Counter(text for text, _ in spans_of_claims(before)) if before else Counter[str]()
    return frozenset(span for text, span in (spans_of_claims(after) if after else ()) if text not in known)


# ---- findings


def _differences(
    before: Sequence[Problem], after: Sequence[Problem], was: _ProblemPlace, now: _ProblemPlace
) -> tuple[tuple[Problem, ...], tuple[Problem, ...]]:
    """What appeared and what vanished.

    Findings of one check and severity are the same where place and words are, then where the place is, and for claims
    what the lesson says of it, then where they point at the same text of one bar; a stretch that is not heard is the
    same where it begins or ends in the same bar. Places are those of the new version, however its bars are numbered.
    """
    rules: tuple[Callable[[Problem, _ProblemPlace], Hashable], ...] = (
        lambda one, place: (place.address(one), one.message),
        lambda one, place: (place.address(one), _said(one)) if one.address else None,
        lambda one, place: (place.bar(one), place.text(one), _words(one)) if _may_move(one) else None,
        lambda one, place: place.bar(one) if _GAP.fullmatch(one.message) else None,
        lambda one, place: place.last_bar(one),
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
    """What a lesson says of the place a claim names: several claims may speak of one; a gap is not a counted note."""
    if problem.check == _OPEN_PITCH:
        return "gap" if _GAP.fullmatch(problem.message) else "note"
    return problem.message.partition("; the text says ")[2] if problem.check == CLAIM else ""


def _may_move(problem: Problem) -> bool:
    """Whether a finding at another place may be the same: not a claim, nor a note whose pitch is not known."""
    return problem.check not in (CLAIM, _OPEN_PITCH)


def _is_note(problem: Problem) -> bool:
    return problem.severity is Severity.NOTE


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

    def last_bar(self, problem: Problem) -> str | None:
        """The last bar of a stretch that is not heard; None of anything else."""
        if (gap := _GAP.fullmatch(problem.message)) is None:
            return None
        return re.sub("[0-9]+", self._renumbered, gap["last"]) if gap["last"] else self.bar(problem)

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
