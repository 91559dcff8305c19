"""A solo annotated: the tab with a degree under each note, and the same as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from tabtools.hand import Hand
from tabtools.hand.demands import demands_of
from tabtools.harmony.degrees import DegreeStyle
from tabtools.reports.hands import demands_record, note_record
from tabtools.reports.heading import heading
from tabtools.reports.study import device_record, role_record
from tabtools.reports.tab import WIDTH, plain_tab
from tabtools.study import Study
from tabtools.study.labels import Labels, labels_of, labels_of_readings
from tabtools.study.open_parts import OpenPart
from tabtools.timeline import TimedBar, TimedNote, Timeline


def as_text(timeline: Timeline, bars: list[TimedBar], style: DegreeStyle = "plain", width: int = WIDTH) -> str:
    """The tab of these bars under the heading of the solo."""
    return f"{heading(timeline)}\n\n{labelled_tab(timeline, bars, style, width)}"


def labelled_tab(timeline: Timeline, bars: list[TimedBar], style: DegreeStyle = "plain", width: int = WIDTH) -> str:
    """The tab of these bars, chords and counts above it, degrees over the chord (over the key under NC) below."""
    known = labels_of(timeline, style)
    shown = {bar.number for bar in bars}
    notes = [note for note in timeline.notes if note.address.bar in shown]
    labels = {
        note.index: _label(note, known[note.index], tuple(labels_of_readings(note, timeline, style))) for note in notes
    }
    signs = _signs(labels[note.index] for note in notes)
    return plain_tab(timeline, bars, lambda note: labels[note.index], width, tuple(signs))


def _label(note: TimedNote, labels: Labels, readings: Sequence[Labels]) -> str:
    """`b3`, `1>2` of a bend, `6?b7` where another reading is another pitch, `(5)` over the key where no chord is."""
    first = _degrees(labels) or labels.pitch or ("?" if note.note.is_open else "x")
    return "?".join([first, *filter(None, map(_degrees, readings))])


def _degrees(labels: Labels) -> str:
    return ">".join(labels.path or tuple(f"({degree})" for degree in labels.key_path))


def _signs(labels: Iterable[str]) -> Iterator[tuple[str, str]]:
    """What stands under the notes and is more than a degree over the chord: an example, and what it means."""
    labels = list(labels)
    if over_key := next((label for label in labels if label.startswith("(") and "?" not in label), ""):
        yield over_key, "over the key, as no chord sounds"
    if readings := next((label for label in labels if "?" in label.strip("?")), ""):
        yield readings, "one degree for each reading of the note"


def as_json(study: Study, hand: Hand, bars: list[TimedBar]) -> str:
    """One object: the solo's facts, its figures for the hands, its statistics, the devices that begin in these bars,
    and a record for each note of these bars, in order.
    """
    timeline = hand.timeline
    instrument = timeline.solo.header.instrument
    wanted = {bar.number for bar in bars}
    document = {
        "path": timeline.solo.path,
        "title": timeline.solo.header.title,
        "tuning": list(instrument.tuning.names),
        "capo": instrument.capo,
        "bars": len(timeline.bars),
        "hands": demands_record(demands_of(hand)),
        "statistics": study.statistics.to_dict(),
        "devices": [device_record(one, timeline.notes) for one in study.devices if one.range.first.bar in wanted],
        "notes": [
            _record(note, labels, parts) | note_record(fingered) | role_record(role)
            for note, labels, parts, fingered, role in zip(
                timeline.notes, study.labels, study.open_parts, hand.notes, study.roles, strict=True
            )
            if note.address.bar in wanted
        ],
    }
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=2)


def _record(note: TimedNote, labels: Labels, parts: tuple[OpenPart, ...]) -> dict[str, object]:
    return {
        "address": str(note.address),
        "bar": note.address.bar,
        "count": note.address.count,
        "stroke": note.address.stroke,
        "part": note.part,
        "placed": note.is_placed,
        "string": note.string or None,
        "fret": _number(note.fret),
        "attack_pitch": labels.attack_pitch,
        "attack_midi": _number(note.attack),
        "pitch": labels.pitch,
        "midi": _number(note.midi),
        "via": note.via or None,
        "onset": _ratio(note.onset),
        "duration": _ratio(note.duration),
        "seconds": round(note.start, 6),
        "chord": note.chord,
        "degree": labels.degree,
        "key_degree": labels.key_degree,
        "uncertain": note.note.unsure,
        "open": list(parts),
        "marks": [str(mark) for mark in note.marks],
    }


def _number(value: Fraction | float | None) -> int | float | None:
    if value is None:
        return None
    return int(value) if value == int(value) else round(float(value), 6)


def _ratio(value: Fraction) -> str:
    return f"{value.numerator}/{value.denominator}"
