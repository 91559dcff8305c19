"""Measures as MusicXML: what stands at their head, above and under their notes."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from math import lcm
from typing import NamedTuple
from xml.etree.ElementTree import Element

from tabtools.exchange.chord_symbols import add_harmony
from tabtools.exchange.markup import sub
from tabtools.exchange.notations import Bracket
from tabtools.exchange.notes import Layer, NoteWriter, whole
from tabtools.exchange.sections import sections_of
from tabtools.exchange.signatures import (
    Staves,
    add_equal_values,
    add_free_tempo,
    add_key,
    add_staves,
    add_tempo,
    add_time,
)
from tabtools.harmony.degrees import DegreeStyle
from tabtools.model.rhythm import STRAIGHT
from tabtools.score import Measure, WrittenEvent, measures_of, unseen_rests, voices_of
from tabtools.score.heads import Head, Heads
from tabtools.score.sounding import sounding_of
from tabtools.score.stations import stations_of
from tabtools.score.tempos import A_TEMPO, is_told_by_another_value
from tabtools.study.labels import Labels, labels_of
from tabtools.timeline import TimedBar, TimedNote, Timeline

MOST_DIVISIONS = 16383
"""What the standard advises not to exceed, for programs that think in MIDI; beyond it divisions follow the measures."""

STANDARD_STAFF, TAB_STAFF = 1, 2
TAB_VOICE = 5
"""The number of the first voice on a second staff (common practice: four to a staff)."""
MUTE, DOUBT = "P.M.", "rhythm not known yet"
"""What is said above the notes of a stretch."""


def measure_elements(
    timeline: Timeline, degrees: DegreeStyle | None = None, staves: Staves = "tab"
) -> Iterator[Element]:
    """The measures of a part, at least one. `degrees` writes those of the notes under them, as lyrics."""
    alone = measures_of(timeline)
    measures = [_Staves(one, voices) for one, voices in zip(alone, voices_of(timeline, alone), strict=True)]
    if not measures:
        yield Element("measure", {"number": "1"})
        return
    writer = _MeasureWriter(timeline, degrees, staves)
    own = [lcm(*map(_divisions, (one.tab, *one.standard))) for one in measures]
    together = lcm(*own)
    for one, divisions in zip(measures, own, strict=True):
        yield writer.measure(one, together if together <= MOST_DIVISIONS else divisions, one is measures[-1])


def _divisions(measure: Measure) -> int:
    """So many parts of a quarter note that every duration and place in the measure is whole."""
    moments = [moment for event in measure.events for moment in (event.onset, event.length)]
    moments.extend(harmony.offset for harmony in _harmonies(measure))
    return lcm(measure.length.denominator, *(moment.denominator for moment in moments))


class _Staves(NamedTuple):
    """A bar as each staff writes it: a tab in one voice, the standard staff in two where two sound."""

    tab: Measure
    standard: tuple[Measure, ...]


class _Harmony(NamedTuple):
    """A chord that begins in a measure, with its offset as written."""

    offset: Fraction
    symbol: str | None
    doubtful: bool


def _harmonies(measure: Measure) -> list[_Harmony]:
    onset, scale = measure.bar.onset, measure.scale
    return [_Harmony((one.onset - onset) * scale, one.symbol, one.mark.doubtful) for one in measure.bar.chords]


class _MeasureWriter:
    """Writes measures in their order, knowing what stands in force."""

    def __init__(self, timeline: Timeline, degrees: DegreeStyle | None, staves: Staves):
        self.staves = staves
        self.header = timeline.solo.header
        self.notes = timeline.notes
        stations = stations_of(timeline.notes, self.header.instrument)
        self.placed = Heads(timeline.notes, stations)
        self.sounding = Heads(timeline.notes, sounding_of(stations))
        self.writer = NoteWriter(self.header.instrument, self.header.key)
        self.lyrics = [_lyric(labels) for labels in labels_of(timeline, degrees)] if degrees else []
        self.rows = _rows(timeline.notes) if degrees else {}
        self.sections = sections_of(timeline.solo)
        self.divisions = 0
        self.time: str | None = None
        self.tempo: tuple[Fraction, Fraction] | None = None
        self.before: TimedBar | None = None
        self.is_muted = False

    def measure(self, staves: _Staves, divisions: int, is_last: bool) -> Element:
        """A measure, staff after staff, voice after voice."""
        first = staves.tab
        number = first.bar.number
        element = Element("measure", {"number": str(number), **({"implicit": "yes"} if number == 0 else {})})
        self._add_attributes(element, first, divisions)
        self._add_directions(element, first)
        unseen = unseen_rests(staves.standard)
        for place, (layer, measure) in enumerate(_layers(self.staves, staves)):
            if place:
                sub(sub(element, "backup"), "duration", whole(first.length * divisions))
            hidden = frozenset[Fraction]() if layer.has_bends else unseen[place]
            self._add_events(element, layer, measure, () if place else staves.standard, hidden)
        if is_last and self.is_muted:
            _add_dashes(element, "stop")
        return element

    def _add_attributes(self, element: Element, measure: Measure, divisions: int) -> None:
        is_first = self.divisions == 0
        attributes = Element("attributes")
        if divisions != self.divisions:
            sub(attributes, "divisions", divisions)
            self.divisions = divisions
        if is_first and self.header.key is not None:
            add_key(attributes, self.header.key)
        meter = measure.bar.meter
        time = "free" if measure.bar.written.free else f"{meter.numerator}/{meter.denominator}"
        if time != self.time:
            add_time(attributes, None if measure.bar.written.free else meter)
            self.time = time
        if is_first:
            add_staves(attributes, self.header.instrument, self.staves)
        if len(attributes):
            element.append(attributes)

    def _add_directions(self, element: Element, measure: Measure) -> None:
        bar = measure.bar
        for section in self.sections.pop(bar.number, ()):
            direction = sub(element, "direction", attributes={"placement": "above"})
            sub(sub(direction, "direction-type"), "rehearsal", section.label)
            if section.name:
                sub(sub(direction, "direction-type"), "words", section.name)
        tempo = (bar.tempo, bar.meter.beat)
        before, self.before = self.before, bar
        if bar.written.free:
            add_free_tempo(element, bar.written.free, measure.length)
            self.tempo = None
        elif tempo != self.tempo:
            goes_on = before is not None and tempo == (before.tempo, before.meter.beat)
            feel = STRAIGHT if bar.meter.is_compound else self.header.feel
            add_tempo(element, *tempo, feel, A_TEMPO if goes_on else "")
            if before is not None and is_told_by_another_value(before, bar):
                add_equal_values(element)
            self.tempo = tempo

    def _add_events(
        self,
        element: Element,
        layer: Layer,
        measure: Measure,
        voices: Sequence[Measure],
        hidden: Collection[Fraction],
    ) -> None:
        """The events of a voice. Chords and words stand over the one that comes first; `voices` are all it leads.

        At the onsets `hidden` it has rests that are not shown.
        """
        leads = bool(voices)
        harmonies = _harmonies(measure) if leads else []
        if measure.is_silent:
            for one in harmonies:
                add_harmony(element, one.symbol, whole(one.offset * self.divisions), one.doubtful)
            self.writer.add_bar_rest(element, layer, measure.length, self.divisions)
            return
        begin = {stretch.first for stretch in measure.doubtful if leads}
        end = {stretch.last for stretch in measure.doubtful if leads}
        for at, (event, own) in enumerate(zip(measure.events, _brackets(measure.events), strict=True)):
            while harmonies and (harmonies[0].offset < event.end or event is measure.events[-1]):
                one = harmonies.pop(0)
                add_harmony(element, one.symbol, whole((one.offset - event.onset) * self.divisions), one.doubtful)
            if at in begin:
                _add_dashes(element, "start", DOUBT)
            together = [index for other in voices for one in other.events for index in _struck_with(one, event)]
            if event.is_rest:
                self.writer.add_rest(element, layer, event, self.divisions, own, event.onset not in hidden)
            else:
                self._add_event(element, layer, measure, event, own, together if leads else ())
            if at in end:
                _add_dashes(element, "stop", DOUBT)

    def _add_event(
        self,
        element: Element,
        layer: Layer,
        measure: Measure,
        event: WrittenEvent,
        brackets: Sequence[Bracket],
        together: Sequence[int],
    ) -> None:
        """Notes; `together` are all that are struck with them, where they lead."""
        words = {mark.word for index in together for mark in self.notes[index].marks}
        if event.struck and together and ("pm" in words) != self.is_muted:
            self.is_muted = not self.is_muted
            _add_dashes(element, "start" if self.is_muted else "stop")
        if "swell" in words:
            _add_wedge(element, {"type": "crescendo", "niente": "yes"})
        end = measure.bar.onset + event.end / measure.scale
        for head in (self.placed if layer.has_bends else self.sounding).of(event, end):
            own = brackets if head.event is not None and not head.in_chord else ()
            self.writer.add_head(element, layer, head, self.divisions, own, self._lyric_of(layer, head))
        if "swell" in words:
            _add_wedge(element, {"type": "stop"})

    def _lyric_of(self, layer: Layer, head: Head) -> tuple[int, str] | None:
        """The line and the text under a note, where a stroke's highest string comes first; not on both staves."""
        if not self.lyrics or head.event is None or not head.begins or not self.lyrics[head.index]:
            return None
        return None if layer.staff == STANDARD_STAFF else (self.rows[head.index], self.lyrics[head.index])


def _rows(notes: Sequence[TimedNote]) -> dict[int, int]:
    """In which line under its stroke each note is told, from 1 for the highest string."""
    rows: dict[int, int] = {}
    for _, stroke in groupby(notes, key=lambda note: note.begins):
        ordered = sorted(stroke, key=lambda note: (note.string, -(note.attack or 0)))
        rows.update({note.index: row for row, note in enumerate(ordered, 1)})
    return rows


def _struck_with(one: WrittenEvent, event: WrittenEvent) -> Sequence[int]:
    return one.struck if one.onset == event.onset else ()


def _layers(staves: Staves, own: _Staves) -> Iterator[tuple[Layer, Measure]]:
    """The voices of the staves that are asked for, with what each plays.

    Stems of an upper voice point up, of a lower one down; under a tab all point down.
    """
    has_two = staves == "both"
    if staves != "tab":
        number = STANDARD_STAFF if has_two else None
        stems = ("",) if len(own.standard) == 1 else ("up", "down")
        for place, (measure, way) in enumerate(zip(own.standard, stems, strict=True), 1):
            yield Layer(place, number, way, has_places=not has_two, has_bends=False), measure
    if staves != "standard":
        yield (
            Layer(TAB_VOICE if has_two else 1, TAB_STAFF if has_two else None, "down", has_places=True, has_bends=True),
            own.tab,
        )


def _brackets(events: Sequence[WrittenEvent]) -> Iterator[list[Bracket]]:
    """The ends of tuplets at each event."""
    for place, event in enumerate(events):
        before = events[place - 1].tuplets if place else ()
        after = events[place + 1].tuplets if place + 1 < len(events) else ()
        opening = [Bracket(tuplet, True) for tuplet in event.tuplets if tuplet not in before]
        closing = [Bracket(tuplet, False) for tuplet in reversed(event.tuplets) if tuplet not in after]
        yield [*opening, *closing]


def _add_dashes(element: Element, kind: str, said: str = MUTE) -> None:
    """Words and the dashes behind them, or the end of these."""
    direction = sub(element, "direction", attributes={"placement": "above"})
    if kind == "start":
        sub(sub(direction, "direction-type"), "words", said)
    number = {"number": "2"} if said == DOUBT else {}
    sub(sub(direction, "direction-type"), "dashes", attributes={"type": kind, **number})


def _add_wedge(element: Element, attributes: dict[str, str]) -> None:
    direction = sub(element, "direction", attributes={"placement": "below"})
    sub(sub(direction, "direction-type"), "wedge", attributes=attributes)


def _lyric(labels: Labels) -> str:
    """The degree over the chord; over the key, in brackets, where there is no chord."""
    if labels.path:
        return ">".join(labels.path)
    return f"({'>'.join(labels.key_path)})" if labels.key_path else ""
