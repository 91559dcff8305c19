"""How a note is played, as the standard's `notations`.

The standard has no sign for a rake and for a place touched between frets: these stand as words. Bends start and end
at shares of the note (`first-beat`, `last-beat`); a bend that has its own slot is there as the slot begins.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element

from tabtools.exchange.markup import decimal, sub
from tabtools.model.solo import PRE_BEND, Fret
from tabtools.notation.marks import fret_named
from tabtools.score.heads import LEGATO, SLIDES, Head
from tabtools.score.records import Tuplet
from tabtools.score.stations import PitchChange
from tabtools.score.values import NAMES

MOST_NUMBERS = 16
"""How many slurs, slides and so on of one kind the standard tells apart: the string is the number here.

Where the string is not known, numbers count down from the last: a move that names no string comes from the first note
of its stroke, which has the last number.
"""

_LEGATO_ELEMENTS = {"h": ("hammer-on", "H"), "p": ("pull-off", "P")}
_VIBRATO = {"~": "guitarVibratoStroke", "~~": "guitarWideVibratoStroke"}
"""Glyphs of SMuFL, the standard of music fonts, that MusicXML names."""

_TRILL_STEPS: dict[Fret, str] = {1: "half", 2: "whole"}
_SLIDES_IN = {"/": "scoop", "\\": "plop"}
_SLIDES_OUT = {"/": "doit", "\\": "falloff"}


class Bracket(NamedTuple):
    """An end of a tuplet."""

    tuplet: Tuplet
    opens: bool


def add_notations(
    note: Element,
    head: Head | None,
    brackets: Sequence[Bracket],
    has_places: bool = True,
    slurred: frozenset[str] = LEGATO,
) -> None:
    """What is to be noted of a head, or of a rest (None); what hands do only where a staff `has_places`.

    `slurred` are the moves that slurs stand for.
    """
    notations = Element("notations")
    if head is not None:
        _add_ties(notations, head)
        _add_slurs(notations, head, slurred)
    for bracket in brackets:
        _add_bracket(notations, bracket)
    if head is not None:
        _add_slides(notations, head)
        for name, add in _GROUPS.items():
            if name == "technical" and not has_places:
                continue
            group = Element(name)
            add(group, head)
            if len(group):
                notations.append(group)
        if head.rolled:
            sub(notations, "arpeggiate", attributes={"direction": head.rolled})
    if len(notations):
        note.append(notations)


def _number(head: Head) -> str:
    timed = head.timed
    if timed.string:
        return str(min(timed.string, MOST_NUMBERS))
    return str(MOST_NUMBERS if timed.via else max(1, MOST_NUMBERS + 1 - timed.part))


def _add_ties(notations: Element, head: Head) -> None:
    for kind, holds in (("stop", head.tied_in), ("start", head.tied_out), ("let-ring", head.rings_on)):
        if holds:
            sub(notations, "tied", attributes={"type": kind})


def _ends(head: Head, moves: frozenset[str]) -> Iterator[tuple[str, str]]:
    """(move, `stop` or `start`) of the moves of a kind that lead here and away from here."""
    if head.reached_by in moves:
        yield head.reached_by, "stop"
    for move in head.left_by:
        if move in moves:
            yield move, "start"


def _add_slurs(notations: Element, head: Head, slurred: frozenset[str]) -> None:
    for _, end in _ends(head, slurred):
        sub(notations, "slur", attributes={"type": end, "number": _number(head)})


def _add_slides(notations: Element, head: Head) -> None:
    for _, end in _ends(head, SLIDES):
        sub(notations, "slide", attributes={"type": end, "number": _number(head), "line-type": "solid"})


def _add_bracket(notations: Element, bracket: Bracket) -> None:
    tuplet = bracket.tuplet
    attributes = {"type": "start" if bracket.opens else "stop", "number": str(tuplet.depth + 1)}
    if not bracket.opens:
        sub(notations, "tuplet", attributes=attributes)
        return
    shown = "actual" if tuplet.is_told_by_one_figure else "both"
    element = sub(notations, "tuplet", attributes={**attributes, "bracket": "yes", "show-number": shown})
    for tag, number in (("tuplet-actual", tuplet.actual), ("tuplet-normal", tuplet.normal)):
        portion = sub(element, tag)
        sub(portion, "tuplet-number", number)
        sub(portion, "tuplet-type", NAMES[tuplet.unit])


def _add_ornaments(ornaments: Element, head: Head) -> None:
    if head.event is None:
        return
    words = head.words
    if head.begins and "trill" in words:
        step = _trill_step(head)
        sub(ornaments, "trill-mark", attributes={"trill-step": step, "start-note": "main"} if step else None)
    if head.begins and "trem" in words:
        sub(ornaments, "tremolo", 3, {"type": "single"})
    vibrato = next((motion.sign for motion in reversed(head.timed.motions) if motion.sign in _VIBRATO), None)
    if vibrato is not None:
        attributes = {"number": _number(head), "smufl": _VIBRATO[vibrato]}
        if head.begins:
            sub(ornaments, "wavy-line", attributes={"type": "start", **attributes})
        if head.last:
            sub(ornaments, "wavy-line", attributes={"type": "stop", **attributes})


def _trill_step(head: Head) -> str | None:
    fret = fret_named(head.words["trill"])
    if fret is None or head.station.fret is None:
        return None
    return _TRILL_STEPS.get(fret - head.station.fret)


def _add_technical(technical: Element, head: Head) -> None:
    words = head.words
    if head.timed.string:
        sub(technical, "string", head.timed.string)
        if head.fret is not None or head.timed.note.dead:
            sub(technical, "fret", head.fret or 0)
    if head.struck:
        _add_hands(technical, head)
    if head.is_harmonic:
        harmonic = sub(technical, "harmonic")
        sub(harmonic, "natural" if head.timed.note.fret is None else "artificial")
        sub(harmonic, "sounding-pitch")
    elif head.begins and head.event is not None and "pinch" in words:
        harmonic = sub(technical, "harmonic")
        sub(harmonic, "artificial")
        sub(harmonic, "base-pitch")
    for move, end in _ends(head, LEGATO):
        tag, letter = _LEGATO_ELEMENTS[move]
        sub(technical, tag, letter if end == "start" else "", {"type": end, "number": _number(head)})
    if head.begins:
        for bend in head.station.bends:
            _add_bend(technical, bend)
        for text in _in_words(head):
            sub(technical, "other-technical", text)


def _add_hands(technical: Element, head: Head) -> None:
    """Fingers, strokes of the pick and taps."""
    words = head.words
    if "lh" in words:
        sub(technical, "fingering", words["lh"])
    if "rh" in words:
        sub(technical, "pluck", words["rh"])
    for word, tag in (("down", "down-bow"), ("up", "up-bow")):
        if word in words and not head.rolled:
            sub(technical, tag)
    if head.station.via == "t":
        sub(technical, "tap", attributes={"hand": "right"})
    elif head.station.via == "h" and not head.reached_by:
        sub(technical, "tap", attributes={"hand": "left"})


def _add_bend(technical: Element, bend: PitchChange) -> None:
    span = {"first-beat": decimal(100 * bend.start), "last-beat": decimal(100 * bend.end)}
    element = sub(technical, "bend", attributes=span if bend.sign != PRE_BEND else None)
    sub(element, "bend-alter", decimal(-bend.semitones if bend.sign == PRE_BEND else bend.semitones))
    if bend.sign == PRE_BEND:
        sub(element, "pre-bend")
    elif bend.sign == "r":
        sub(element, "release")
    elif bend.sign == "w":
        sub(element, "with-bar", "bar")


def _in_words(head: Head) -> Iterator[str]:
    """What the standard has no element for."""
    words, note = head.words, head.timed.note
    if head.struck and note.touch is not None and (note.fret is not None or note.touch != head.fret):
        yield f"touch {decimal(note.touch)}"
    elif head.station.fret is not None and head.station.fret != head.fret:
        yield f"fret {decimal(head.station.fret)}"
    if head.struck and "rake" in words:
        yield "rake"
    if head.struck and head.station.via == "p" and not head.reached_by:
        yield "pull-off from nowhere"
    if head.event is not None and "trill" in words and _trill_step(head) is None:
        yield f"trill with fret {words['trill']}"


def _add_articulations(articulations: Element, head: Head) -> None:
    words, via = head.words, head.station.via
    if head.struck and "accent" in words:
        sub(articulations, "accent")
    if head.begins and head.event is not None and "stacc" in words:
        sub(articulations, "staccato")
    if head.struck and via in _SLIDES_IN and not head.reached_by:
        sub(articulations, _SLIDES_IN[via], attributes={"line-shape": "straight"})
    if head.last:
        for motion in head.timed.motions:
            if motion.sign in _SLIDES_OUT and not motion.arrives:
                sub(articulations, _SLIDES_OUT[motion.sign], attributes={"line-shape": "straight"})


_GROUPS: dict[str, Callable[[Element, Head], None]] = {
    "ornaments": _add_ornaments,
    "technical": _add_technical,
    "articulations": _add_articulations,
}
