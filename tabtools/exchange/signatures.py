"""What stands at the head of a measure: staff, key and meter; tempo and feel."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Literal
from xml.etree.ElementTree import Element

from tabtools.exchange.markup import OCTAVES, decimal, sub
from tabtools.model.harmony import Key
from tabtools.model.instrument import Instrument
from tabtools.model.pitch import parse_pitch, parse_tone
from tabtools.model.rhythm import Feel, Meter
from tabtools.score.clefs import BASS, clef_of
from tabtools.score.spelling import signature
from tabtools.score.tempos import SAME
from tabtools.score.values import is_dotted, longest_value, name_of

Staves = Literal["tab", "standard", "both"]

_SWUNG = {Fraction(1): "eighth", Fraction(1, 2): "16th"}
"""A beat, and what the standard calls the halves of it that swing."""


def add_key(attributes: Element, key: Key) -> None:
    fifths, mode = signature(key)
    element = sub(attributes, "key")
    sub(element, "fifths", fifths)
    sub(element, "mode", mode)


def add_time(attributes: Element, meter: Meter | None) -> None:
    """A time signature; None is out of time."""
    time = sub(attributes, "time")
    if meter is None:
        sub(time, "senza-misura")
        return
    sub(time, "beats", meter.numerator)
    sub(time, "beat-type", meter.denominator)


def add_staves(attributes: Element, instrument: Instrument, staves: Staves) -> None:
    """The clefs of the staves; of a tab its lines, what they are tuned to, the capo."""
    is_both = staves == "both"
    if is_both:
        sub(attributes, "staves", 2)
    if staves != "tab":
        sign, line = ("F", 4) if clef_of(instrument) is BASS else ("G", 2)
        clef = sub(attributes, "clef", attributes={"number": "1"} if is_both else None)
        sub(clef, "sign", sign)
        sub(clef, "line", line)
        sub(clef, "clef-octave-change", -1)
    if staves == "standard":
        return
    second = {"number": "2"} if is_both else {}
    clef = sub(attributes, "clef", attributes=second)
    sub(clef, "sign", "TAB")
    details = sub(attributes, "staff-details", attributes={**second, "show-frets": "numbers"})
    sub(details, "staff-lines", instrument.strings)
    for line, name in enumerate(instrument.tuning.names, 1):
        tone = parse_tone(name.rstrip("-0123456789"))
        octave = (parse_pitch(name) - tone.alteration) // 12 - 1
        if octave not in OCTAVES:
            continue
        tuning = sub(details, "staff-tuning", attributes={"line": str(line)})
        sub(tuning, "tuning-step", tone.letter)
        if tone.alteration:
            sub(tuning, "tuning-alter", tone.alteration)
        sub(tuning, "tuning-octave", octave)
    if instrument.capo:
        sub(details, "capo", instrument.capo)


def add_tempo(measure: Element, tempo: Fraction, beat: Fraction, feel: Feel, words: str = "") -> None:
    """A metronome mark: so many beats (each in quarter notes) a minute, `words` before it, an even pair as played."""
    direction = sub(measure, "direction", attributes={"placement": "above"})
    if words:
        sub(sub(direction, "direction-type"), "words", words)
    metronome = sub(sub(direction, "direction-type"), "metronome")
    for place, part in enumerate(_parts(beat)):
        unit = sub(metronome, "beat-unit-tied") if place else metronome
        sub(unit, "beat-unit", name_of(part))
        if is_dotted(part):
            sub(unit, "beat-unit-dot")
    sub(metronome, "per-minute", decimal(tempo))
    if feel.is_swung:
        sub(sub(direction, "direction-type"), "words", str(feel))
    sound = sub(direction, "sound", attributes={"tempo": decimal(tempo * beat)})
    if feel.is_swung and beat in _SWUNG:
        swing = sub(sound, "swing")
        ratio = Fraction(feel.long, feel.short)
        sub(swing, "first", ratio.numerator)
        sub(swing, "second", ratio.denominator)
        sub(swing, "swing-type", _SWUNG[beat])


def add_equal_values(measure: Element) -> None:
    """An eighth lasts as long as it did, though another value is counted."""
    metronome = sub(
        sub(sub(measure, "direction", attributes={"placement": "above"}), "direction-type"),
        "metronome",
        attributes={"parentheses": "yes"},
    )
    for _ in range(2):
        sub(metronome, "beat-unit", name_of(SAME))


def add_free_tempo(measure: Element, seconds: Fraction, quarters: Fraction) -> None:
    """A bar out of time that lasts so many seconds and is written in so many quarter notes."""
    direction = sub(measure, "direction", attributes={"placement": "above"})
    sub(sub(direction, "direction-type"), "words", f"free, {decimal(seconds)} s")
    sub(direction, "sound", attributes={"tempo": decimal(quarters * 60 / seconds)})


def _parts(length: Fraction) -> Iterator[Fraction]:
    while length:
        part = longest_value(length)
        yield part
        length -= part
