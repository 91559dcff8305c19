"""The events of a bar as columns of heads on the standard staff: where each stands, which signs are beside it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from tabtools.engraving.standard.sizes import (
    DOT_GAP,
    GRACE_COLUMN,
    HEAD,
    SIGN_COLUMN,
    SIGN_GAP,
    SMALL,
    TOP_STEP,
    WHOLE_HEAD,
)
from tabtools.model.harmony import Key
from tabtools.model.instrument import Instrument
from tabtools.score import Measure, WrittenEvent, unseen_rests, voices_of
from tabtools.score.accidentals import Accidentals
from tabtools.score.clefs import Clef, clef_of
from tabtools.score.heads import SLIDES, Head, Heads
from tabtools.score.records import BEGIN, CONTINUE, END
from tabtools.score.sounding import sounding_of
from tabtools.score.staff_places import StaffPlace, staff_place
from tabtools.score.stations import stations_of
from tabtools.timeline import Timeline

MIDDLE_STEP = TOP_STEP // 2
ASKED_APART = 4
"""Steps between the question marks of two unknown pitches."""
SIGNS_APART = 6
"""Steps between two accidentals that may stand over each other."""
FLAG = 6.5
WHOLE = 0
SLIDE = 9.0
"""The room of a stroke that slides into a head."""
ROLL = 9.0
"""The room of the wavy line of a rolled chord."""
ALONE, UPPER, LOWER = 0, 1, 2
GHOST = 4.0
"""What the brackets of a ghost note take at either side."""


@dataclass(frozen=True, slots=True)
class StaffHead:
    """A head: its step over the bottom line, the alteration whose sign stands before it (None: no sign).

    `shape` is `note`, `cross` for a dead string, `diamond` for a harmonic, `unknown` where the pitch is not known.
    `aside` is -1 or 1 where it stands left or right of its column, next to a neighbour; `sign_column` counts the
    columns of accidentals away from the heads.
    """

    head: Head
    step: int
    sign: float | None
    shape: str
    aside: int = 0
    sign_column: int = 0

    @property
    def is_ghost(self) -> bool:
        return "ghost" in self.head.words


Column = tuple[StaffHead, ...]
"""Heads that are struck together, the lowest first."""


@dataclass(frozen=True, slots=True)
class StaffEvent:
    """A written value on the staff at its moment of the bar, in the timeline's quarter notes; a rest has no heads.

    `graces` stand before it, column by column. `has_value` is False where no value is claimed. `voice` is `ALONE`, or
    `UPPER` or `LOWER` where another voice stands in the bar; `rolled` are the lowest and the highest step of a rolled
    chord, of which it is the upper voice.
    """

    moment: float
    event: WrittenEvent
    heads: Column
    graces: tuple[Column, ...]
    is_up: bool
    has_value: bool
    voice: int = ALONE
    rolled: tuple[int, int] | None = None

    @property
    def is_trembling(self) -> bool:
        """Whether it is struck again and again."""
        return any("trem" in one.head.words for one in self.heads)

    @property
    def half(self) -> float:
        """Half the width of a head."""
        return WHOLE_HEAD if self.has_value and self.event.halvings <= WHOLE else HEAD

    @property
    def heads_left(self) -> float:
        """How far the heads reach to the left of their column."""
        return self.half * (3 if any(one.aside < 0 for one in self.heads) else 1)

    @property
    def heads_right(self) -> float:
        return self.half * (3 if any(one.aside > 0 for one in self.heads) else 1)

    @property
    def signs_left(self) -> float:
        """How far heads and accidentals reach to the left."""
        columns = max((one.sign_column + 1 for one in self.heads if one.sign is not None), default=0)
        ghost = GHOST if any(one.is_ghost for one in self.heads) else 0.0
        return self.heads_left + ghost + (SIGN_GAP + SIGN_COLUMN * columns if columns else 0.0)

    def sign_place(self, one: StaffHead) -> float:
        """How far left of the column the middle of a head's accidental stands."""
        ghost = GHOST if any(other.is_ghost for other in self.heads) else 0.0
        return self.heads_left + ghost + SIGN_GAP + SIGN_COLUMN * (one.sign_column + 0.5)

    @property
    def left(self) -> float:
        """How far all of it reaches to the left."""
        first = self.graces[0] if self.graces else self.heads
        slide = SLIDE if any(one.head.reached_by in SLIDES for one in first) else 0.0
        graces = sum(map(grace_width, self.graces)) + (2.0 if self.graces else 0.0)
        return self.signs_left + graces + slide + (ROLL if self.rolled else 0.0)

    @property
    def right(self) -> float:
        """How far all of it reaches to the right."""
        right = self.heads_right + (GHOST if any(one.is_ghost for one in self.heads) else 0.0)
        if self.has_value and self.is_up and self.event.halvings > 2 and not self.event.beams:
            right = max(right, HEAD + FLAG)
        if self.has_value and self.event.dots:
            right += DOT_GAP + 1.5
        return right


def grace_width(column: Column) -> float:
    """The room that a column of grace notes takes."""
    signs = max((one.sign_column + 1 for one in column if one.sign is not None), default=0)
    return GRACE_COLUMN + grace_aside(column) + signs * SIGN_COLUMN * SMALL


def grace_aside(column: Column) -> float:
    """What a neighbour takes at the right of its stem."""
    return 2 * HEAD * SMALL if any(one.aside > 0 for one in column) else 0.0


def notated_bars(timeline: Timeline, measures: Sequence[Measure]) -> list[tuple[StaffEvent, ...]]:
    """The bars of a timeline as they stand on the staff, in two voices where two sound; `measures` are those of one."""
    instrument = timeline.solo.header.instrument
    heads = Heads(timeline.notes, sounding_of(stations_of(timeline.notes, instrument)))
    reader = _Reader(heads, instrument, timeline.solo.header.key)
    return [reader.bar(voices) for voices in voices_of(timeline, measures)]


class _Reader:
    """Goes through the bars in order, knowing which accidentals hold."""

    def __init__(self, heads: Heads, instrument: Instrument, key: Key | None):
        self.heads = heads
        self.instrument = instrument
        self.key = key
        self.clef: Clef = clef_of(instrument)
        self.accidentals = Accidentals(key)

    def bar(self, voices: Sequence[Measure]) -> tuple[StaffEvent, ...]:
        """The events of a bar in their order, the upper voice first: an accidental holds in both."""
        self.accidentals.open_bar()
        numbers = (ALONE,) if len(voices) == 1 else (UPPER, LOWER)
        unseen = unseen_rests(voices)
        written = [
            (event.onset, voice, measure, event)
            for voice, measure, hidden in zip(numbers, voices, unseen, strict=True)
            for event in measure.events
            if event.onset not in hidden or not event.is_rest
        ]
        written.sort(key=lambda one: one[:2])
        events = [self._event(measure, event, voice) for _, voice, measure, event in written]
        directed = [one for voice in numbers for one in _directed([one for one in events if one.voice == voice])]
        return tuple(_beside_each_other(sorted(directed, key=lambda one: (one.event.onset, one.voice)), unseen[-1]))

    def _event(self, measure: Measure, event: WrittenEvent, voice: int) -> StaffEvent:
        end = measure.bar.onset + event.end / measure.scale
        columns = [self._column(heads) for heads in _columns(self.heads.of(event, end))]
        own = columns.pop() if event.notes and not event.unheard else ()
        moment = float(event.onset / measure.scale)
        has_value = event.has_value and not measure.bar.written.free
        graces = () if event.unheard else tuple(columns)
        return StaffEvent(moment, event, own, graces, False, has_value, voice)

    def _column(self, heads: Sequence[Head]) -> Column:
        places = [staff_place(head, self.instrument, self.key) for head in heads]
        pitched = [
            (place, head.tied_in)
            for place, head in zip(places, heads, strict=True)
            if place is not None and place.sounds
        ]
        shown = iter(self.accidentals.shown(pitched))
        column = []
        for place, head in zip(places, heads, strict=True):
            sign = place.alteration if place is not None and place.sounds and next(shown) else None
            column.append(StaffHead(head, self._step(place, head), sign, _shape(head)))
        return tuple(sorted(_stacked(column), key=lambda one: one.step))

    def _step(self, place: StaffPlace | None, head: Head) -> int:
        if place is None or head.timed.note.unknown:
            return MIDDLE_STEP
        return self.clef.step(place.step)


def _stacked(column: Sequence[StaffHead]) -> Iterator[StaffHead]:
    """A column whose heads of unknown pitch stand over all others, each over the one before."""
    roof = max((one.step + ASKED_APART for one in column if one.shape != "unknown"), default=MIDDLE_STEP)
    for one in column:
        if one.shape != "unknown":
            yield one
        else:
            yield replace(one, step=max(roof, MIDDLE_STEP))
            roof = max(roof, MIDDLE_STEP) + ASKED_APART


def _shape(head: Head) -> str:
    note = head.timed.note
    if note.dead:
        return "cross"
    if head.station.pitch is None:
        return "unknown"
    return "diamond" if head.station.touched else "note"


def _columns(heads: Iterable[Head]) -> Iterator[list[Head]]:
    """Heads that stand together: each column of grace notes, then the event's own."""
    column: list[Head] = []
    for head in heads:
        if column and not head.in_chord:
            yield column
            column = []
        column.append(head)
    if column:
        yield column


def _directed(events: Sequence[StaffEvent]) -> Iterator[StaffEvent]:
    """Events with the directions of their stems, one for all under a beam; heads and signs make way for each other."""
    for group in beam_groups(events):
        steps = [one.step for event in group for one in event.heads]
        is_up = bool(steps) and (max(steps) - MIDDLE_STEP) + (min(steps) - MIDDLE_STEP) < 0
        if group[0].voice != ALONE:
            is_up = group[0].voice == UPPER
        for event in group:
            graces = tuple([_with_signs(_set_aside(column, True)) for column in event.graces])
            yield replace(event, is_up=is_up, heads=_with_signs(_set_aside(event.heads, is_up)), graces=graces)


def _beside_each_other(events: Sequence[StaffEvent], shared: Collection[Fraction]) -> Iterator[StaffEvent]:
    """What both voices have at one moment: a rest that is `shared`, accidentals that keep apart, one roll."""
    for _, same in groupby(events, key=lambda one: one.event.onset):
        own = list(same)
        if own[0].event.is_rest and own[0].event.onset in shared:
            yield replace(own[0], voice=ALONE)
            continue
        heads = sorted((one for event in own for one in event.heads), key=lambda one: one.step)
        struck = [one for one in heads if one.head.begins]
        is_rolled = len(struck) > 1 and any("roll" in one.head.words for one in struck)
        signed = iter(_with_signs(tuple(heads)))
        columns = {id(one): column.sign_column for one, column in zip(heads, signed, strict=True)}
        for place, event in enumerate(own):
            placed = tuple([replace(one, sign_column=columns[id(one)]) for one in event.heads])
            steps = (struck[0].step, struck[-1].step) if is_rolled and not place else None
            yield replace(event, heads=placed, rolled=steps)


def voices_in(events: Iterable[StaffEvent]) -> list[list[StaffEvent]]:
    """The events of a bar, or of a piece of one, voice by voice."""
    voices: dict[int, list[StaffEvent]] = {}
    for event in events:
        voices.setdefault(event.voice, []).append(event)
    return list(voices.values())


def beam_groups(events: Iterable[StaffEvent]) -> Iterator[list[StaffEvent]]:
    """Events under one beam together, all others by themselves."""
    group: list[StaffEvent] = []
    for event in events:
        group.append(event)
        beam = event.event.beams[0] if event.event.beams and event.has_value else END
        if beam not in (BEGIN, CONTINUE):
            yield group
            group = []
    if group:
        yield group


def _set_aside(column: Column, is_up: bool) -> Column:
    """Of neighbours on a line and a space one stands on the other side of the stem."""
    side = 1 if is_up else -1
    ordered = column if is_up else column[::-1]
    found: list[StaffHead] = []
    for one in ordered:
        before = found[-1] if found else None
        is_near = before is not None and abs(one.step - before.step) < 2 and not before.aside
        found.append(replace(one, aside=side if is_near else 0))
    return tuple(found if is_up else found[::-1])


def _with_signs(column: Column) -> Column:
    """Accidentals in as few columns as keep them apart: from the highest and the lowest to the middle."""
    signed = [place for place, one in enumerate(column) if one.sign is not None]
    order = []
    while signed:
        order.append(signed.pop())
        if signed:
            order.append(signed.pop(0))
    taken: list[list[int]] = []
    where: dict[int, int] = {}
    for place in order:
        step = column[place].step
        free = (at for at, steps in enumerate(taken) if all(abs(step - one) >= SIGNS_APART for one in steps))
        at = next(free, len(taken))
        if at == len(taken):
            taken.append([])
        taken[at].append(step)
        where[place] = at
    return tuple([replace(one, sign_column=where.get(place, 0)) for place, one in enumerate(column)])
