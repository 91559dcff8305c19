"""A bar laid out: what stands in which column, and where the columns are."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from tabtools.engraving.metrics import (
    EDGE,
    METER_SIZE,
    percent,
    text_width,
)
from tabtools.engraving.open_notes import heights_of
from tabtools.engraving.standard.notated import StaffEvent, notated_bars
from tabtools.engraving.strokes import Figure, HeldFigure, figures_of, held_figure, string_y
from tabtools.model.rhythm import Meter
from tabtools.model.solo import Rest, Stroke
from tabtools.score import Measure, WrittenEvent, measures_of
from tabtools.timeline import TimedBar, TimedNote, Timeline
from tabtools.timeline.slots import slots_in_time
from tabtools.timeline.spread import leaves


@dataclass(slots=True)
class DrawnStroke:
    """A stroke in its bar: its notes, their figures, the labels under them, what is said of each and what they are.

    `rooms` are labels that may take the place of those under the notes.

    `first` is the index of its first note in the timeline, `moment` its place in quarter notes from the bar line.
    """

    first: int
    notes: tuple[TimedNote, ...]
    figures: tuple[Figure, ...]
    labels: tuple[str, ...]
    said: tuple[str, ...]
    tones: tuple[str, ...]
    rooms: tuple[str, ...]
    moment: float
    column: int = 0

    @property
    def half(self) -> float:
        return max(figure.half for figure in self.figures)

    @property
    def after(self) -> float:
        """Where a bend may start, the same for all notes of the stroke."""
        return max(figure.after for figure in self.figures)

    @property
    def roof(self) -> float:
        """The height over which bends rise: that of the highest name over the strings, or of the strings."""
        return min(0.0, *(figure.y for figure in self.figures))


@dataclass(slots=True)
class Scene:
    """One bar, or a piece of one. `xs` are the columns in pixels at the natural `width`, `cells` are shares of it.

    `events` are its written values, none where the bar is out of time. `columns` gives the column of each moment, in
    order; `staff` is where the staff begins, `words` are tempo, capo and the like over its start, as SVG text
    and width, `head` is the room that they need. `held` are the figures of
    notes tied into it. It lasts from `begins` to `ends`, in quarter notes from the bar line;
    `opens` and `closes` are False where it is not the first or the last piece of its bar; it `leads` where a system
    begins with it, however wide the page is. `doubtful` are the stretches
    of the bar whose rhythm is not known, from and to so many quarter notes from the bar line. `notation` is what
    stands on the standard staff, where there is one. `courtesy` is the meter that the next system begins with, where
    that is another one.
    """

    bar: TimedBar
    strings: int
    struck: list[DrawnStroke]
    events: tuple[WrittenEvent, ...]
    shows_meter: bool = False
    tied_out: bool = False
    held: list[HeldFigure] = field(default_factory=list)
    columns: dict[float, int] = field(default_factory=dict)
    rests: list[float] = field(default_factory=list)
    chords: list[tuple[int, str]] = field(default_factory=list)
    xs: list[float] = field(default_factory=list)
    cells: list[str] = field(default_factory=list)
    width: float = 0.0
    staff: float = 0.0
    head: float = 0.0
    begins: float = 0.0
    ends: float = 0.0
    opens: bool = True
    closes: bool = True
    leads: bool = False
    doubtful: tuple[tuple[float, float], ...] = ()
    notation: tuple[StaffEvent, ...] = ()
    words: tuple[tuple[str, float], ...] = ()
    courtesy: Meter | None = None

    @property
    def meter_room(self) -> float:
        """The room a time signature takes at the start of the bar."""
        return _figures_width(self.bar.meter) + 6 if self.shows_meter else 0.0

    @property
    def courtesy_room(self) -> float:
        """The room behind the bar line for the meter of the next system."""
        return _figures_width(self.courtesy) + 8 if self.courtesy else 0.0

    @property
    def meters(self) -> list[tuple[Meter, str, float]]:
        """The meters shown, and where their middles are: at the start, and behind the bar line for the next system.

        A place is a share of the width and pixels beside it: what stands behind the bar line keeps from it what it has.
        """
        shown = [(self.bar.meter, self.at(self.staff + self.meter_room / 2 + 4), 0.0)] if self.shows_meter else []
        if self.courtesy:
            shown.append((self.courtesy, "100%", 1 - self.courtesy_room / 2))
        return shown

    @property
    def words_left(self) -> float:
        """Where the words over the bar begin: over its bar line, or over what is played out of time."""
        return self.xs[0] - 6 if self.is_free and self.xs else self.staff

    @property
    def is_free(self) -> bool:
        return bool(self.bar.written.free)

    @property
    def is_silent(self) -> bool:
        """Whether one rest fills the bar."""
        return bool(self.events) and self.events[0].fills_bar

    def at(self, x: float) -> str:
        """A place in pixels at the natural width, as a share of the width."""
        return percent(x / self.width)

    def x_of(self, moment: float) -> float:
        """Where a moment of the bar lies, between the columns if need be."""
        if moment in self.columns:
            return self.xs[self.columns[moment]]
        moments = list(self.columns)
        place = bisect_left(moments, moment)
        if place == 0:
            return self.staff + EDGE
        before = moments[place - 1]
        after = moments[place] if place < len(moments) else self.ends
        right = self.xs[place] if place < len(moments) else self.width - EDGE
        share = (moment - before) / (after - before) if after > before else 0.0
        return self.xs[place - 1] + share * (right - self.xs[place - 1])

    def end_of(self, moment: float) -> float:
        """Where the next stroke or rest after a moment stands, or the end of the bar or piece."""
        later = [one.moment for one in self.struck if one.moment > moment]
        later += [rest for rest in self.rests if rest > moment]
        return self.x_of(min(later)) if later else self.width - (4 if self.closes else -4)


def _figures_width(meter: Meter) -> float:
    return max(text_width(str(one), METER_SIZE, bold=True) for one in (meter.numerator, meter.denominator))


class NoteText(NamedTuple):
    """What the page says of a note: the label under it, and the sentence shown when it is pointed at.

    `tone` names the mark under the label (`chord`, `scale`, `chromatic`, or none), `others` are labels that may take
    its place.
    """

    label: str
    said: str = ""
    tone: str = ""
    others: tuple[str, ...] = ()


def scenes_of(timeline: Timeline, texts: Sequence[NoteText], has_staff: bool = False) -> list[Scene]:
    """All bars of a solo, not yet laid out; `texts` go with the notes of the timeline."""
    strings = timeline.solo.header.instrument.strings
    scenes: list[Scene] = []
    heights = heights_of(timeline)
    cursor = 0
    measures = measures_of(timeline)
    notation = notated_bars(timeline, measures) if has_staff else [()] * len(measures)
    for measure, notated in zip(measures, notation, strict=True):
        scene, cursor = _scene(measure, strings, timeline.notes, texts, heights, cursor)
        scene.notation = notated
        _set_columns(scene)
        first = scene.events[0] if scene.events else None
        if first is not None and first.is_tied and scenes:
            scenes[-1].tied_out = True
            if first.is_held:
                _hold_over(scene, scenes, heights)
        scenes.append(scene)
    return scenes


def _scene(
    measure: Measure,
    strings: int,
    notes: Sequence[TimedNote],
    texts: Sequence[NoteText],
    heights: Mapping[int, float],
    cursor: int,
) -> tuple[Scene, int]:
    bar = measure.bar
    struck: list[DrawnStroke] = []
    rests: list[float] = []
    for timed in bar.lines:
        for slot, place in zip(leaves(timed.line.slots), slots_in_time(bar, timed), strict=True):
            if type(slot) is Stroke:
                end = cursor + len(slot.notes)
                own = tuple(notes[cursor:end])
                figures = figures_of(own, strings, heights)
                struck.append(
                    DrawnStroke(
                        cursor,
                        own,
                        figures,
                        tuple([text.label for text in texts[cursor:end]]),
                        tuple([text.said for text in texts[cursor:end]]),
                        tuple([text.tone for text in texts[cursor:end]]),
                        tuple([other for text in texts[cursor:end] for other in text.others]),
                        float(place.offset),
                    )
                )
                cursor = end
            elif type(slot) is Rest:
                rests.append(float(place.offset))
    events = () if bar.written.free else measure.events
    doubtful = () if bar.written.free else tuple([(float(one.onset), float(one.end)) for one in measure.doubtful])
    return Scene(bar, strings, struck, events, rests=rests, ends=float(bar.length), doubtful=doubtful), cursor


def _set_columns(scene: Scene) -> None:
    bar = scene.bar
    moments = {one.moment for one in scene.struck}
    moments.update(event.moment for event in scene.events if not event.fills_bar)
    if scene.is_free:
        moments.update(scene.rests)
    moments.update(one.moment for one in scene.notation if not one.event.fills_bar)
    chords = [(float(chord.onset - bar.onset), chord.mark.symbol + "?" * chord.mark.doubtful) for chord in bar.chords]
    moments.update(moment for moment, _ in chords)
    scene.columns = {moment: column for column, moment in enumerate(sorted(moments))}
    for one in scene.struck:
        one.column = scene.columns[one.moment]
    scene.chords = [(scene.columns[moment], symbol) for moment, symbol in chords]


def _hold_over(scene: Scene, before: list[Scene], heights: Mapping[int, float]) -> None:
    """Put what is tied over the bar line in brackets at the start of the bar."""
    last = next((one.struck[-1] for one in reversed(before) if one.struck), None)
    if last is None:
        return
    for timed in last.notes:
        if timed.ends.quarters > scene.bar.onset and timed.midi is not None and _stands_still(timed):
            y = heights.get(timed.index, string_y(timed.string, scene.strings))
            scene.held.append(held_figure(timed, y))


def _stands_still(timed: TimedNote) -> bool:
    """Whether a note has come to the pitch of the place or of the name that it is written at."""
    if timed.note.only_moves_pitch:
        return timed.held is not None and timed.note.fret == timed.held
    is_written = timed.held is not None or timed.note.pitch is not None
    return is_written and not any(motion.sign in ("b", "pb", "w") for motion in timed.motions)
