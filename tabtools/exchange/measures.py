"""Measures as MusicXML: what stands at their head, above and under their notes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm
from typing import NamedTuple
from xml.etree.ElementTree import Element

from tabtools.exchange.chord_symbols import add_harmony
from tabtools.exchange.markup import sub
from tabtools.exchange.notations import Bracket
from tabtools.exchange.notes import NoteWriter, whole
from tabtools.exchange.sections import sections_of
from tabtools.exchange.signatures import add_free_tempo, add_key, add_staff, add_tempo, add_time
from tabtools.harmony.degrees import DegreeStyle
from tabtools.model.rhythm import STRAIGHT
from tabtools.score import Measure, WrittenEvent, measures_of
from tabtools.score.heads import Head, Heads
from tabtools.score.stations import stations_of
from tabtools.study.labels import Labels, labels_of
from tabtools.timeline import Timeline

MOST_DIVISIONS = 16383
"""What the standard advises not to exceed, for programs that think in MIDI; beyond it divisions follow the measures."""

MUTE, DOUBT = "P.M.", "rhythm not known yet"
"""What is said above the notes of a stretch."""


def measure_elements(timeline: Timeline, degrees: DegreeStyle | None = None) -> Iterator[Element]:
    """The measures of a part, at least one. `degrees` writes those of the notes under them, as lyrics."""
    measures = measures_of(timeline)
    if not measures:
        yield Element("measure", {"number": "1"})
        return
    writer = _MeasureWriter(timeline, degrees)
    own = [_divisions(measure) for measure in measures]
    together = lcm(*own)
    for measure, divisions in zip(measures, own, strict=True):
        is_last = measure is measures[-1]
        yield writer.measure(measure, together if together <= MOST_DIVISIONS else divisions, is_last)


def _divisions(measure: Measure) -> int:
    """So many parts of a quarter note that every duration and place in the measure is whole."""
    moments = [moment for event in measure.events for moment in (event.onset, event.length)]
    moments.extend(harmony.offset for harmony in _harmonies(measure))
    return lcm(measure.length.denominator, *(moment.denominator for moment in moments))


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

    def __init__(self, timeline: Timeline, degrees: DegreeStyle | None):
        self.header = timeline.solo.header
        self.notes = timeline.notes
        self.heads = Heads(timeline.notes, stations_of(timeline.notes, self.header.instrument))
        self.writer = NoteWriter(self.header.instrument, self.header.key)
        self.lyrics = [_lyric(labels) for labels in labels_of(timeline, degrees)] if degrees else []
        self.sections = sections_of(timeline.solo)
        self.divisions = 0
        self.time: str | None = None
        self.tempo: tuple[Fraction, Fraction] | None = None
        self.is_muted = False

    def measure(self, measure: Measure, divisions: int, is_last: bool) -> Element:
        number = measure.bar.number
        element = Element("measure", {"number": str(number), **({"implicit": "yes"} if number == 0 else {})})
        self._add_attributes(element, measure, divisions)
        self._add_directions(element, measure)
        self._add_events(element, measure)
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
            add_staff(attributes, self.header.instrument)
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
        if bar.written.free:
            add_free_tempo(element, bar.written.free, measure.length)
            self.tempo = None
        elif tempo != self.tempo:
            add_tempo(element, *tempo, STRAIGHT if bar.meter.is_compound else self.header.feel)
            self.tempo = tempo

    def _add_events(self, element: Element, measure: Measure) -> None:
        harmonies = _harmonies(measure)
        if measure.is_silent:
            for one in harmonies:
                add_harmony(element, one.symbol, whole(one.offset * self.divisions), one.doubtful)
            self.writer.add_bar_rest(element, measure.length, self.divisions)
            return
        begin = {stretch.first for stretch in measure.doubtful}
        end = {stretch.last for stretch in measure.doubtful}
        for place, (event, own) in enumerate(zip(measure.events, _brackets(measure.events), strict=True)):
            while harmonies and (harmonies[0].offset < event.end or event is measure.events[-1]):
                one = harmonies.pop(0)
                add_harmony(element, one.symbol, whole((one.offset - event.onset) * self.divisions), one.doubtful)
            if place in begin:
                _add_dashes(element, "start", DOUBT)
            self._add_event(element, measure, event, own)
            if place in end:
                _add_dashes(element, "stop", DOUBT)

    def _add_event(self, element: Element, measure: Measure, event: WrittenEvent, brackets: Sequence[Bracket]) -> None:
        if event.is_rest:
            self.writer.add_rest(element, event, self.divisions, brackets)
            return
        words = {mark.word for index in event.struck for mark in self.notes[index].marks}
        if event.struck and ("pm" in words) != self.is_muted:
            self.is_muted = not self.is_muted
            _add_dashes(element, "start" if self.is_muted else "stop")
        if "swell" in words:
            _add_wedge(element, {"type": "crescendo", "niente": "yes"})
        end = measure.bar.onset + event.end / measure.scale
        struck = sorted(event.struck, key=lambda index: (self.notes[index].string, -(self.notes[index].attack or 0)))
        for head in self.heads.of(event, end):
            own = brackets if head.event is not None and not head.in_chord else ()
            self.writer.add_head(element, head, self.divisions, own, self._lyric_of(head, struck))
        if "swell" in words:
            _add_wedge(element, {"type": "stop"})

    def _lyric_of(self, head: Head, struck: Sequence[int]) -> tuple[int, str] | None:
        """The line and the text under a note, the highest string's first."""
        if not self.lyrics or head.event is None or not head.begins or not self.lyrics[head.index]:
            return None
        return struck.index(head.index) + 1, self.lyrics[head.index]


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
