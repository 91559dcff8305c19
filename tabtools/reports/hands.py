"""What a solo asks of the hands: finger and position under each note, and figures, as text and as JSON."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from tabtools.hand import Hand
from tabtools.hand.demands import CAUTION, Demands, FastestShift, WidestBend, WidestReach, demands_of
from tabtools.hand.hand import Fingered
from tabtools.hand.position import roman
from tabtools.reports.heading import heading
from tabtools.reports.tab import WIDTH, plain_tab
from tabtools.timeline import TimedBar
from tabtools.timeline.places import passages_with_notes
from tabtools.wording import several

FINGER_SIGNS = {"tap": "t", "": "."}


def as_text(hand: Hand, bars: list[TimedBar], width: int = WIDTH) -> str:
    """The tab of these bars with fingers below, the position where it changes, and the figures of what is shown."""
    numbers = {bar.number for bar in bars}
    indices = [note.index for note in hand.timeline.notes if note.address.bar in numbers]
    labels = _labels(hand)
    parts = [heading(hand.timeline), plain_tab(hand.timeline, bars, lambda note: labels[note.index], width)]
    if indices:
        parts.append(demands_text("What is asked of the hands", demands_of(hand, range(indices[0], indices[-1] + 1))))
    for passage, notes in passages_with_notes(hand.timeline):
        if set(notes) & set(indices):
            parts.append(demands_text(f"{passage.range}  {passage.name}".rstrip(), demands_of(hand, notes)))
    return "\n\n".join([*parts, textwrap.fill(CAUTION, width)])


def _labels(hand: Hand) -> list[str]:
    """`1` to `4`, `T`, `0` open, `t` a tap of the other hand; `V.1` where the hand is at fret 5 from here on.

    `?` stands where the place is not known.
    """
    labels: list[str] = []
    position: int | None = None
    for note, fingered in zip(hand.timeline.notes, hand.notes, strict=True):
        sign = "".join(FINGER_SIGNS.get(finger, finger) for finger in (fingered.finger, *fingered.then))
        if note.note.is_open and note.fret is None:
            sign = "?"
        if fingered.position is not None and fingered.position != position:
            position = fingered.position
            sign = f"{roman(position)}.{sign}"
        labels.append(sign)
    return labels


def demands_text(title: str, demands: Demands) -> str:
    """Demands as lines under a title, each with the address where it is met."""
    return "\n".join([title, *(f"  {line}" for line in _lines(demands))])


def _lines(demands: Demands) -> Iterator[str]:
    for rate in demands.rates:
        if rate.top:
            yield f"notes a second, {rate.technique}: at most {rate.top:g}, {rate.sustained:.1f} over four seconds"
    if (reach := demands.reach) is not None:
        fingers = " and ".join(str(finger) for finger in reach.fingers)
        frets = " and ".join(str(fret) for fret in reach.frets)
        yield f"widest reach, held or slurred: {reach.mm:.0f} mm, fingers {fingers} at frets {frets}, {_at(reach)}"
    if (shift := demands.shift) is not None:
        ways = " to ".join(map(roman, shift.positions))
        yield f"most hurried shift: position {ways}, {shift.mm:.0f} mm in {1000 * shift.seconds:.0f} ms, {_at(shift)}"
    if (bend := demands.bend) is not None:
        took = "more than a string bears"
        if bend.travel_mm is not None and bend.force is not None:
            took = f"{bend.travel_mm:.0f} mm aside, {bend.force:.0f} N"
        yield f"widest bend: {several(bend.semitones, 'semitone')} at {bend.string}:{bend.fret}, {took}, {_at(bend)}"
    if demands.positions:
        yield f"positions: {', '.join(roman(position) for position in demands.positions)}"
    if demands.left_out:
        yield f"left out: {several(demands.left_out, 'note')} whose place on the neck is not known yet"


def _at(found: WidestReach | FastestShift | WidestBend) -> str:
    return f"{found.at}{' (uncertain)' * found.doubtful}"


def note_record(fingered: Fingered) -> dict[str, object]:
    """Finger, position and reach of one note, for JSON."""
    return {
        "finger": fingered.finger or None,
        "position": fingered.position,
        "reach_mm": None if fingered.reach_mm is None else round(fingered.reach_mm, 1),
    }


def demands_record(demands: Demands) -> dict[str, object]:
    """The figures of a stretch, for JSON; null where there is nothing to measure."""
    reach, shift, bend = demands.reach, demands.shift, demands.bend
    return {
        "notes_a_second": {
            rate.technique: {"top": rate.top, "sustained": round(rate.sustained, 2)} for rate in demands.rates
        },
        "reach": reach
        and {"at": str(reach.at), "mm": round(reach.mm, 1), "fingers": list(reach.fingers), "frets": list(reach.frets)},
        "shift": shift
        and {
            "at": str(shift.at),
            "mm": round(shift.mm, 1),
            "milliseconds": round(1000 * shift.seconds),
            "needed_milliseconds": round(1000 * shift.needed),
            "positions": list(shift.positions),
        },
        "bend": bend
        and {
            "at": str(bend.at),
            "semitones": bend.semitones,
            "travel_mm": None if bend.travel_mm is None else round(bend.travel_mm, 1),
            "newtons": None if bend.force is None else round(bend.force, 1),
            "string": bend.string,
            "fret": bend.fret,
        },
        "positions": list(demands.positions),
        "left_out": demands.left_out,
    }
