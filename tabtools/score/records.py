"""The records of a score. Times are `Fraction`, in quarter notes from the bar line, as they are written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from tabtools.score.values import halvings_of, is_dotted, name_of
from tabtools.timeline import TimedBar

BEGIN, CONTINUE, END, FORWARD, BACKWARD = "begin", "continue", "end", "forward hook", "backward hook"
"""What a beam does at one value: it runs from neighbour to neighbour, or is a stub."""


class Tuplet(NamedTuple):
    """`actual` notes in the time of `normal`, each of the latter `unit` long.

    It begins at `onset`, within `depth` others: no two of one voice begin together at one depth.
    """

    onset: Fraction
    depth: int
    actual: int
    normal: int
    unit: Fraction

    @property
    def is_told_by_one_figure(self) -> bool:
        """Whether its number alone says what it stands for: `7` in the time of four, not in that of six."""
        return self.normal & (self.normal - 1) == 0 and self.normal <= self.actual

    @property
    def figure(self) -> str:
        """`3`, `7:6`."""
        return str(self.actual) if self.is_told_by_one_figure else f"{self.actual}:{self.normal}"


class WrittenNote(NamedTuple):
    """A note of the timeline (by index) in one event; ties lead to the same string in its neighbours.

    `struck` says that it begins in this event, `last` that it is in no later one; `graced`, that grace notes stand
    before it, to which ties lead then.
    """

    index: int  # type: ignore[assignment]  # a place among the notes, not a tuple's index()
    struck: bool
    tied_in: bool = False
    tied_out: bool = False
    last: bool = True
    graced: bool = False

    @property
    def sounds_on(self) -> bool:
        """Whether the place it stands at has been sounding."""
        return self.tied_in and not self.graced


@dataclass(frozen=True)
class WrittenEvent:
    """One written value with what sounds in it, lowest string first; without notes it is a rest.

    It is `written` long before its tuplets (outermost first) shrink it to `length`. `beams` are what the beams over it
    do, the longest first; `fills_bar` marks the rest that stands for a whole bar, however long.

    Under a doubtful count it is `doubtful`: `length` is its even share, which is how it is played, `written` the plain
    value next to that, for the space it takes; neither is claimed. `unheard` says that nothing in it can be made out:
    it lasts so long, and is neither a rest nor a note of that value.
    """

    onset: Fraction
    length: Fraction
    written: Fraction
    tuplets: tuple[Tuplet, ...] = ()
    notes: tuple[WrittenNote, ...] = ()
    beams: tuple[str, ...] = ()
    fills_bar: bool = False
    doubtful: bool = False
    unheard: bool = False

    @property
    def has_value(self) -> bool:
        """Whether it claims a note value, by a stem, a flag, a dot: not under a doubtful count, not where unheard."""
        return not (self.doubtful or self.unheard)

    @cached_property
    def moment(self) -> float:
        """The onset as a float, for measuring the page."""
        return float(self.onset)

    @cached_property
    def end(self) -> Fraction:
        return self.onset + self.length

    @property
    def name(self) -> str:
        """What MusicXML calls the value, dots left out."""
        return name_of(self.written)

    @cached_property
    def halvings(self) -> int:
        """How often the whole note is halved: 2 is a quarter, 3 an eighth."""
        return halvings_of(self.written)

    @cached_property
    def dots(self) -> int:
        return int(is_dotted(self.written))

    @property
    def is_rest(self) -> bool:
        return not self.notes

    @property
    def struck(self) -> list[int]:
        """The notes that begin here, by index."""
        return [one.index for one in self.notes if one.struck]

    @property
    def is_held(self) -> bool:
        """Whether something sounds on and nothing begins."""
        return bool(self.notes) and not any(one.struck for one in self.notes)

    @property
    def is_tied(self) -> bool:
        """Whether all that sounds has been sounding: nothing is plucked, though pitches may begin to move."""
        return bool(self.notes) and all(one.sounds_on for one in self.notes)

    @property
    def opens_beam(self) -> bool:
        """Whether its longest beam begins here."""
        return bool(self.beams) and self.beams[0] == BEGIN

    @property
    def closes_beam(self) -> bool:
        """Whether its longest beam ends here."""
        return bool(self.beams) and self.beams[0] == END

    @property
    def continues_beam(self) -> bool:
        """Whether a beam leads here from the event before."""
        return bool(self.beams) and self.beams[0] in (CONTINUE, END)


def has_beam_of_its_own(events: Sequence[WrittenEvent]) -> bool:
    """Whether one beam holds these values and no others, so that it shows what belongs together."""
    return events[0].opens_beam and events[-1].closes_beam and all(one.continues_beam for one in events[1:])


class DoubtfulStretch(NamedTuple):
    """A line whose count is doubtful: from `onset` to `end`, and its first and last event by their places.

    The order of what stands there is known, its rhythm is not.
    """

    onset: Fraction
    end: Fraction
    first: int
    last: int


class Measure(NamedTuple):
    """A bar as it is written: its events, in order and without gaps, and its `length`.

    One rest fills a silent bar, but in a pickup and its counterpart at the end rests are counted out. `scale` is
    written time for the timeline's: 1, but in a bar out of time, whose slots stand as plain values and claim no rhythm.
    `doubtful` are the lines whose count is doubtful, one by one.
    """

    bar: TimedBar
    events: tuple[WrittenEvent, ...]
    length: Fraction
    scale: Fraction
    doubtful: tuple[DoubtfulStretch, ...] = ()

    @property
    def is_silent(self) -> bool:
        """Whether one rest fills the bar."""
        return self.events[0].fills_bar
