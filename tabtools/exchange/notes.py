"""Heads as MusicXML notes: pitch, duration, ties, value, notehead."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import takewhile
from math import prod
from typing import NamedTuple
from xml.etree.ElementTree import Element

from tabtools.exchange.markup import OCTAVES, decimal, sub
from tabtools.exchange.notations import Bracket, add_notations
from tabtools.model.harmony import Key
from tabtools.model.instrument import Instrument
from tabtools.model.pitch import nearest_semitone, pitch_name
from tabtools.model.solo import PITCH_MOVES, Heard, Place
from tabtools.score.heads import LEGATO, SLURRED, Head
from tabtools.score.records import WrittenEvent
from tabtools.score.staff_places import staff_place
from tabtools.score.values import NAMES
from tabtools.timeline import TimedNote

MOST_BEAMS = 8
"""What the standard can number."""

GRACE_SHARE = 10
"""Per cent of the note that a grace note takes: players are quick there (common practice)."""


class Layer(NamedTuple):
    """A voice on a staff: their numbers (no staff where there is one only), and which way its stems point.

    `stems` is empty where whoever reads the document may choose. `has_places` says whether the staff tells strings,
    frets and how hands play, as a tab does; `has_bends`, that heads stand for places, and bends beside them.
    """

    voice: int
    staff: int | None
    stems: str
    has_places: bool
    has_bends: bool


class NoteWriter:
    """Writes notes of one instrument in one key."""

    def __init__(self, instrument: Instrument, key: Key | None):
        self.instrument = instrument
        self.key = key

    def add_rest(
        self,
        parent: Element,
        layer: Layer,
        event: WrittenEvent,
        divisions: int,
        brackets: Sequence[Bracket] = (),
        is_seen: bool = True,
    ) -> None:
        note = sub(parent, "note", attributes={} if is_seen else {"print-object": "no"})
        sub(note, "rest")
        sub(note, "duration", whole(event.length * divisions))
        sub(note, "voice", layer.voice)
        _add_value(note, event)
        _add_staff(note, layer)
        add_notations(note, None, brackets)

    def add_bar_rest(self, parent: Element, layer: Layer, length: Fraction, divisions: int) -> None:
        """A rest of a whole measure, however long."""
        note = sub(parent, "note")
        sub(note, "rest", attributes={"measure": "yes"})
        sub(note, "duration", whole(length * divisions))
        sub(note, "voice", layer.voice)
        _add_staff(note, layer)

    def add_head(
        self,
        parent: Element,
        layer: Layer,
        head: Head,
        divisions: int,
        brackets: Sequence[Bracket] = (),
        lyric: tuple[int, str] | None = None,
    ) -> None:
        """One note; `lyric` is the number of its line and what stands there."""
        note = sub(parent, "note")
        if head.event is None:
            sub(note, "grace", attributes={"steal-time-following": str(GRACE_SHARE), "slash": "no"})
        if head.in_chord:
            sub(note, "chord")
        self._add_pitch(note, head)
        if head.event is not None:
            sub(note, "duration", whole(head.event.length * divisions))
        for kind, holds in (("stop", head.tied_in), ("start", head.tied_out)):
            if holds:
                sub(note, "tie", attributes={"type": kind})
        _add_doubt(note, head)
        sub(note, "voice", layer.voice)
        if head.event is None:
            sub(note, "type", "eighth")
        else:
            _add_value(note, head.event)
            _add_stem(note, head.event, layer.stems)
        _add_notehead(note, head)
        _add_staff(note, layer)
        if head.event is not None and not head.in_chord:
            _add_beams(note, head.event)
        add_notations(note, head, brackets, layer.has_places, LEGATO if layer.has_bends else SLURRED)
        if lyric is not None:
            line = sub(note, "lyric", attributes={"number": str(lyric[0])})
            sub(line, "syllabic", "single")
            sub(line, "text", lyric[1])
        if "pm" in head.words:
            sub(sub(note, "play"), "mute", "palm")

    def _add_pitch(self, note: Element, head: Head) -> None:
        """The pitch of its station; what has none stands at that of its open string, as unpitched."""
        place = staff_place(head, self.instrument, self.key)
        if place is None or place.octave not in OCTAVES:
            sub(note, "unpitched")
        elif not place.sounds:
            element = sub(note, "unpitched")
            sub(element, "display-step", place.tone.letter)
            sub(element, "display-octave", place.octave)
        else:
            element = sub(note, "pitch")
            sub(element, "step", place.tone.letter)
            alter = place.tone.alteration + place.cents / 100
            if alter:
                sub(element, "alter", decimal(alter))
            sub(element, "octave", place.octave)


def whole(duration: Fraction) -> int:
    """A duration in divisions, which are chosen so that it is whole. Raises `ValueError` where it is not."""
    if duration.denominator != 1:
        raise ValueError(duration)
    return duration.numerator


def _add_notehead(note: Element, head: Head) -> None:
    """Crossed where a string is dead; slashed where the pitch is not known, a block where nothing can be made out."""
    written, is_ghost = head.timed.note, "ghost" in head.words
    is_unknown = written.unknown and head.station.pitch is None
    shapes = {"x": written.dead, "slash": is_unknown, "rectangle": written.unheard}
    shape = next((shape for shape, holds in shapes.items() if holds), "normal")
    if is_ghost or shape != "normal":
        sub(note, "notehead", shape, {"parentheses": "yes"} if is_ghost else {})


def _add_doubt(note: Element, head: Head) -> None:
    """What is not known of a note, and what is not known surely, in words where it begins."""
    said = []
    if head.begins and head.station.pitch is not None and head.fret is None:
        said.append("where this is played on the neck is not known yet")
    if head.struck:
        said.extend(_doubts(head))
    if said:
        sub(note, "footnote", "; ".join(said))
        sub(note, "level", "?", {"parentheses": "yes"})


def _doubts(head: Head) -> Iterator[str]:
    written = head.timed.note
    if written.unheard:
        yield "what is played here is not heard yet"
    elif written.unknown and head.station.pitch is None:
        yield f"the pitch of this note is not known yet{_bent_to(head.timed)}"
    elif head.station.pitch is None and not written.dead:
        yield "no pitch sounds here"
    if written.unsure:
        yield "not sure of this note"
    if written.others:
        lead = "the other reading is" if len(written.others) == 1 else "other readings are"
        yield f"{lead} {' and '.join(map(_reading, written.others))}"


def _bent_to(timed: TimedNote) -> str:
    """Where a note is bent from a pitch that is not known, for which there is no sign."""
    bends = takewhile(lambda step: step.motion.sign in PITCH_MOVES, timed.steps)
    names = [pitch_name(nearest_semitone(step.pitch)) for step in bends]
    return f"; it goes to {' and '.join(names)}" if names else ""


def _reading(other: Place | Heard) -> str:
    return other.name if isinstance(other, Heard) else f"string {other.string} fret {decimal(other.fret)}"


def _add_value(note: Element, event: WrittenEvent) -> None:
    """The value; under a doubtful count there is none, and a note has nothing but its duration."""
    if event.doubtful:
        return
    sub(note, "type", event.name)
    for _ in range(event.dots):
        sub(note, "dot")
    if not event.tuplets:
        return
    time = sub(note, "time-modification")
    sub(time, "actual-notes", prod(tuplet.actual for tuplet in event.tuplets))
    sub(time, "normal-notes", prod(tuplet.normal for tuplet in event.tuplets))
    if len(event.tuplets) == 1 and event.written != event.tuplets[0].unit:
        sub(time, "normal-type", NAMES[event.tuplets[0].unit])


def _add_staff(note: Element, layer: Layer) -> None:
    if layer.staff is not None:
        sub(note, "staff", layer.staff)


def _add_stem(note: Element, event: WrittenEvent, way: str) -> None:
    """Which way its stem points; where no value is claimed there is none."""
    if not (event.has_value and event.halvings > 0):
        sub(note, "stem", "none")
    elif way:
        sub(note, "stem", way)


def _add_beams(note: Element, event: WrittenEvent) -> None:
    for level, beam in enumerate(event.beams[:MOST_BEAMS], 1):
        sub(note, "beam", beam, {"number": str(level)})
