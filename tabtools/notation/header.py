"""Header fields: what each value may be, and the header record they add up to."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from difflib import get_close_matches
from fractions import Fraction
from typing import Any

from tabtools.model.harmony import MODES, Key
from tabtools.model.instrument import (
    MAX_FRETS,
    MAX_STRINGS,
    MIN_STRINGS,
    NAMED_TUNINGS,
    STANDARD_GAUGES,
    Gauge,
    Instrument,
    Tuning,
    tuning_of,
)
from tabtools.model.pitch import parse_tone
from tabtools.model.rhythm import DENOMINATORS, STRAIGHT, Feel, Meter
from tabtools.model.solo import Field, Header
from tabtools.problem import Problem, Severity
from tabtools.source import has_other_figures, is_number
from tabtools.wording import several

MM_PER_INCH = 25.4
_NEAR = 0.75
"""How alike two words are, in the measure of `difflib`, where one may be a slip of the pen for the other."""


class FieldValueError(Exception):
    """A value that cannot be read: what is wrong, and what to write instead. `check` names who reports it."""

    def __init__(self, message: str, advice: str, check: str = "field-value"):
        super().__init__(message)
        self.message = message
        self.advice = advice
        self.check = check


def read_meter(text: str) -> Meter:
    """`4/4`, `7/8`, `12/8 in 4`. Raises `FieldValueError`."""
    match = re.fullmatch(r"([0-9]{1,3})/([0-9]{1,3})(?:\s+in\s+([0-9]{1,3}))?", text)
    if match is None:
        raise FieldValueError(f"“{text}” is no meter", "write it as 4/4, 7/8 or 12/8 in 4")
    numerator, denominator = int(match[1]), int(match[2])
    counts = int(match[3]) if match[3] else numerator
    if not 1 <= numerator <= 64 or denominator not in DENOMINATORS:
        raise FieldValueError(f"“{text}” is no meter", "the lower figure is 1, 2, 4, 8, 16 or 32; the upper 1 to 64")
    if not 1 <= counts <= numerator or numerator % counts:
        raise FieldValueError(
            f"{numerator}/{denominator} cannot be counted in {counts} equal beats",
            f"count it in a number that divides {numerator}, or leave “in {counts}” out",
        )
    return Meter(numerator, denominator, counts)


def read_tempo(value: Fraction) -> Fraction:
    """Beats a minute within reason. Raises `FieldValueError`."""
    return _within(value, 10, 600, "a tempo", "beats a minute")


def read_tuning(text: str) -> Tuning:
    """Pitches from low to high, or a name of the trade's table. Raises `FieldValueError` for the check `tuning`."""
    wanted = " ".join(text.split())
    for name, pitches in NAMED_TUNINGS.items():
        if wanted.lower() == name.lower():
            return tuning_of(pitches, name)
    words = wanted.split()
    if not any(is_number(character) for character in wanted):
        near = get_close_matches(wanted, NAMED_TUNINGS, 1)
        advice = f"did you mean {near[0]}? " if near else ""
        raise FieldValueError(
            f"“{wanted}” is not a tuning that has a name here",
            advice + "Write the pitches from the lowest string to the highest, like D2 A2 D3 G3 A3 D4",
            "tuning",
        )
    for word in words:
        try:
            tuning_of(word)
        except ValueError:
            raise FieldValueError(
                f"“{word}” in the tuning is no pitch", "write letter, accidental and octave, like F#3 or Bb2", "tuning"
            ) from None
    if not MIN_STRINGS <= len(words) <= MAX_STRINGS:
        raise FieldValueError(
            f"the tuning names {several(len(words), 'string')}",
            f"name {MIN_STRINGS} to {MAX_STRINGS} strings, from the lowest to the highest",
            "tuning",
        )
    return tuning_of(wanted)


def read_key(text: str) -> Key:
    """A tonic and a mode word. Raises `FieldValueError`."""
    tonic, _, mode = " ".join(text.split()).partition(" ")
    try:
        tone = parse_tone(tonic)
    except ValueError:
        advice = "write a key like A minor or Bb major: the tonic with a capital letter, # or b behind it"
        raise FieldValueError(f"“{text}” does not start with a tonic", advice) from None
    if not mode:
        raise FieldValueError("the key names no mode", f"write {tone} major, {tone} minor or {tone} with another mode")
    if mode.lower() not in MODES:
        near = get_close_matches(mode.lower(), MODES, 1, _NEAR)
        raise FieldValueError(
            f"“{mode}” is no mode this format knows",
            f"did you mean {tone} {near[0]}?" if near else f"write one of: {', '.join(MODES)}",
        )
    return Key(tone, mode.lower())


def read_feel(text: str) -> Feel:
    """`straight` or `swing 2:1`. Raises `FieldValueError`."""
    if text == "straight":
        return STRAIGHT
    match = re.fullmatch(r"swing\s+([0-9]{1,2}):([0-9]{1,2})", text)
    if match is None or not int(match[2]) or int(match[1]) < int(match[2]):
        raise FieldValueError(f"“{text}” is no feel", "write straight, or swing with long:short, like swing 2:1")
    return Feel(int(match[1]), int(match[2]))


def read_gauges(text: str) -> tuple[Gauge, ...]:
    """String diameters in thousandths of an inch, highest string first. Raises `FieldValueError`."""
    gauges = []
    for word in text.split():
        match = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9])?)(w?)", word)
        if match is None or not 5 <= float(match[1]) <= 150:
            raise FieldValueError(
                f"“{word}” is no gauge", "write thousandths of an inch, w for wound: 10 13 17 26w 36w 46w"
            )
        gauges.append(Gauge(float(match[1]), bool(match[2])))
    return tuple(gauges)


def read_scale_length(text: str) -> float:
    """`648 mm` or `25.5 in` as millimetres. Raises `FieldValueError`."""
    match = re.fullmatch(r"([0-9]{1,4}(?:\.[0-9]{1,3})?)\s*(mm|in)", text)
    length = float(match[1]) * (MM_PER_INCH if match[2] == "in" else 1) if match else 0
    if not 300 <= length <= 1000:
        raise FieldValueError(f"“{text}” is no scale length", "write it with its unit, like 648 mm or 25.5 in")
    return length


def _whole_number(low: int, high: int, what: str) -> Callable[[str], int]:
    def read(text: str) -> int:
        if not (is_number(text) and low <= int(text) <= high):
            raise FieldValueError(f"“{text}” is no {what}", f"write a whole number from {low} to {high}")
        return int(text)

    return read


def _decimal(text: str, what: str, unit: str) -> Fraction:
    if not re.fullmatch(r"[0-9]{1,6}(\.[0-9]{1,6})?", text):
        raise FieldValueError(f"“{text}” is not {what}", f"write a number, in {unit}")
    return Fraction(text)


def _within(value: Fraction, low: int, high: int, what: str, unit: str) -> Fraction:
    if not low <= value <= high:
        raise FieldValueError(f"{float(value):g} is not {what}", f"write a number from {low} to {high}, in {unit}")
    return value


def _choice(**values: Any) -> Callable[[str], Any]:
    def read(text: str) -> Any:
        if text not in values:
            raise FieldValueError(f"“{text}” is none of the values this field takes", f"write {' or '.join(values)}")
        return values[text]

    return read


_ON_HEADER: dict[str, Callable[[str], Any]] = {
    "title": str,
    "player": str,
    "composer": str,
    "recording": str,
    "rights": str,
    "summary": str,
    "tags": lambda text: tuple(filter(None, (tag.strip() for tag in text.split(",")))),
    "draft": _choice(yes=True, no=False),
    "hand": _choice(small="small", medium="medium", large="large"),
    "key": read_key,
    "meter": read_meter,
    "tempo": lambda text: read_tempo(_decimal(text, "a tempo", "beats a minute")),
    "feel": read_feel,
}

_ON_INSTRUMENT: dict[str, tuple[str, Callable[[str], Any]]] = {
    "tuning": ("tuning", read_tuning),
    "capo": ("capo", _whole_number(0, 24, "fret for a capo")),
    "frets": ("frets", _whole_number(5, MAX_FRETS, "number of frets")),
    "scale-length": ("scale_mm", read_scale_length),
    "gauges": ("gauges", read_gauges),
    "reference": (
        "reference",
        lambda text: float(_within(_decimal(text, "a pitch", "hertz"), 380, 500, "a pitch for A4", "hertz")),
    ),
}

FIELD_NAMES = (
    "title",
    "player",
    "composer",
    "recording",
    "rights",
    "summary",
    "tags",
    "draft",
    "tuning",
    "capo",
    "frets",
    "scale-length",
    "gauges",
    "hand",
    "key",
    "meter",
    "tempo",
    "feel",
    "reference",
)


def read_header(fields: Iterable[Field], path: str, problems: list[Problem]) -> Header:
    """The fields as one `Header`. What cannot be read is reported into `problems` and keeps its default."""
    on_header: dict[str, Any] = {}
    on_instrument: dict[str, Any] = {}
    seen: dict[str, Field] = {}
    for entry in fields:
        if entry.name not in FIELD_NAMES:
            problems.append(_unknown(entry, path))
        elif entry.name in seen:
            problems.append(
                Problem(
                    "duplicate-field",
                    Severity.ERROR,
                    path,
                    entry.span,
                    f"the field {entry.name} stands twice; the first says “{seen[entry.name].value}”",
                    "keep one",
                )
            )
        else:
            seen[entry.name] = entry
            if not entry.value:
                continue
            try:
                if entry.name in _ON_HEADER:
                    on_header[entry.name] = _ON_HEADER[entry.name](entry.value)
                else:
                    name, read = _ON_INSTRUMENT[entry.name]
                    on_instrument[name] = read(entry.value)
            except FieldValueError as fault:
                advice = "type the figures 0 to 9" if has_other_figures(entry.value) else fault.advice
                problems.append(Problem(fault.check, Severity.ERROR, path, entry.value_span, fault.message, advice))
    return Header(**on_header, instrument=_instrument(on_instrument, seen, path, problems))


def _instrument(values: dict[str, Any], seen: dict[str, Field], path: str, problems: list[Problem]) -> Instrument:
    instrument = replace(Instrument(), **values)
    if instrument.capo >= instrument.frets:
        problems.append(
            Problem(
                "field-value",
                Severity.ERROR,
                path,
                seen["capo" if "capo" in seen else "frets"].value_span,
                f"a capo at fret {instrument.capo} leaves nothing of {several(instrument.frets, 'fret')}",
                "check capo and frets",
            )
        )
        instrument = replace(instrument, capo=0)
    if "gauges" not in values:
        if instrument.strings != len(STANDARD_GAUGES):
            instrument = replace(instrument, gauges=())
    elif len(instrument.gauges) != instrument.strings:
        problems.append(
            Problem(
                "field-value",
                Severity.ERROR,
                path,
                seen["gauges"].value_span,
                f"{several(len(instrument.gauges), 'gauge')} for {several(instrument.strings, 'string')}",
                "give one gauge a string, highest string first",
            )
        )
        instrument = replace(instrument, gauges=())
    return instrument


def near_field(word: str) -> str:
    """The field that a word is meant for, should it be a slip of the pen; else nothing."""
    return next(iter(get_close_matches(word.lower(), FIELD_NAMES, 1, _NEAR)), "")


def _unknown(entry: Field, path: str) -> Problem:
    near = near_field(entry.name)
    fields = f"the fields are: {', '.join(FIELD_NAMES)}; the rest fits in a # comment"
    advice = f"did you mean {near}?" if near else fields
    return Problem(
        "unknown-field", Severity.ERROR, path, entry.span, f"there is no header field “{entry.name}”", advice
    )
