"""Heads as MusicXML notes: pitch, duration, ties, value, notehead."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import prod
from xml.etree.ElementTree import Element

from tabtools.exchange.heads import Head
from tabtools.exchange.markup import OCTAVES, decimal, sub
from tabtools.exchange.notations import Bracket, add_notations
from tabtools.exchange.rhythm import NAMES, Value
from tabtools.harmony.degrees import tone_names
from tabtools.model.harmony import Key
from tabtools.model.instrument import Instrument
from tabtools.model.pitch import nearest_semitone
from tabtools.notation.chords import chord_or_none

GRACE_SHARE = 10
"""Per cent of the note that a grace note takes: players are quick there (common practice)."""


class NoteWriter:
    """Writes notes of one instrument in one key."""

    def __init__(self, instrument: Instrument, key: Key | None):
        self.instrument = instrument
        self.key = key

    def add_rest(
        self, parent: Element, value: Value, voice: int, divisions: int, brackets: Sequence[Bracket] = ()
    ) -> None:
        note = sub(parent, "note")
        sub(note, "rest")
        sub(note, "duration", whole(value.length * divisions))
        sub(note, "voice", voice)
        _add_value(note, value)
        add_notations(note, None, brackets)

    def add_bar_rest(self, parent: Element, length: Fraction, divisions: int) -> None:
        """A rest of a whole measure, however long."""
        note = sub(parent, "note")
        sub(note, "rest", attributes={"measure": "yes"})
        sub(note, "duration", whole(length * divisions))
        sub(note, "voice", 1)

    def add_head(
        self,
        parent: Element,
        head: Head,
        voice: int,
        divisions: int,
        brackets: Sequence[Bracket] = (),
        lyric: tuple[int, str] | None = None,
    ) -> None:
        """One note; `lyric` is the number of its line and what stands there."""
        note = sub(parent, "note")
        if head.value is None:
            sub(note, "grace", attributes={"steal-time-following": str(GRACE_SHARE), "slash": "no"})
        if head.in_chord:
            sub(note, "chord")
        self._add_pitch(note, head)
        if head.value is not None:
            sub(note, "duration", whole(head.value.length * divisions))
        for kind, holds in (("stop", head.tied_in), ("start", head.tied_out)):
            if holds:
                sub(note, "tie", attributes={"type": kind})
        if head.struck:
            _add_doubt(note, head)
        sub(note, "voice", voice)
        if head.value is None:
            sub(note, "type", "eighth")
        else:
            _add_value(note, head.value)
        is_ghost = "ghost" in head.words
        if head.timed.note.dead or is_ghost:
            sub(note, "notehead", "x" if head.timed.note.dead else "normal", {"parentheses": "yes"} if is_ghost else {})
        add_notations(note, head, brackets)
        if lyric is not None:
            line = sub(note, "lyric", attributes={"number": str(lyric[0])})
            sub(line, "syllabic", "single")
            sub(line, "text", lyric[1])
        if "pm" in head.words:
            sub(sub(note, "play"), "mute", "palm")

    def _add_pitch(self, note: Element, head: Head) -> None:
        """The pitch of the place; what has none stands at that of its open string, as unpitched."""
        pitch = head.station.pitch
        if pitch is None and self.instrument.has_string(head.timed.string):
            shown = self.instrument.open_midi(head.timed.string)
        else:
            shown = pitch
        nearest = nearest_semitone(shown) if shown is not None else 0
        tone = tone_names(chord_or_none(head.timed.chord), self.key)[nearest % 12]
        octave = (nearest - tone.alteration) // 12 - 1
        if shown is None or octave not in OCTAVES:
            sub(note, "unpitched")
        elif pitch is None:
            element = sub(note, "unpitched")
            sub(element, "display-step", tone.letter)
            sub(element, "display-octave", octave)
        else:
            element = sub(note, "pitch")
            sub(element, "step", tone.letter)
            alter = tone.alteration + (0 if head.station.touched else pitch - nearest)
            if alter:
                sub(element, "alter", decimal(alter))
            sub(element, "octave", octave)


def whole(duration: Fraction) -> int:
    """A duration in divisions, which are chosen so that it is whole. Raises `ValueError` where it is not."""
    if duration.denominator != 1:
        raise ValueError(duration)
    return duration.numerator


def _add_doubt(note: Element, head: Head) -> None:
    written = head.timed.note
    said = []
    if written.unsure:
        said.append("not sure of this note")
    if written.other is not None:
        said.append(f"the other reading is string {written.other.string} fret {decimal(written.other.fret)}")
    if head.station.pitch is None and not written.dead:
        said.append("no pitch sounds here")
    if said:
        sub(note, "footnote", "; ".join(said))
        sub(note, "level", "?", {"parentheses": "yes"})


def _add_value(note: Element, value: Value) -> None:
    sub(note, "type", value.name)
    for _ in range(value.dots):
        sub(note, "dot")
    if not value.tuplets:
        return
    time = sub(note, "time-modification")
    sub(time, "actual-notes", prod(tuplet.actual for tuplet in value.tuplets))
    sub(time, "normal-notes", prod(tuplet.normal for tuplet in value.tuplets))
    if len(value.tuplets) == 1 and value.written != value.tuplets[0].unit:
        sub(time, "normal-type", NAMES[value.tuplets[0].unit])
