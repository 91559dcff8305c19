"""Places proposed for notes, as text and as JSON."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby

from tabtools.hand import Fingered, Shift
from tabtools.hand.hand import OPEN, TAP
from tabtools.notation.write import note_text
from tabtools.placing.candidates import Candidate
from tabtools.placing.proposal import PlaceProposal
from tabtools.reports.hands import roman
from tabtools.reports.tab import WIDTH
from tabtools.timeline import TimedBar, TimedNote, Timeline
from tabtools.wording import several

Refused = tuple[TimedNote, str]
"""A note that has no place, and why."""

NO_FRET = "no fret gives its pitch, or its bar is repeated from one where it can be placed"

PLACE_WIDTH, NOTE_WIDTH = 10, 14


def as_text(timeline: Timeline, proposed: Sequence[PlaceProposal], refused: Sequence[Refused]) -> str:
    """Bar by bar what is proposed, with finger and position, then what has no place."""
    parts = []
    for number, one_bar in groupby(proposed, lambda one: one.timed.address.bar):
        bar = timeline.bar_numbers[number]
        parts.append("\n".join([_title(bar), *map(_line, one_bar)]))
    if refused:
        lines = [_refusal(timed, reason) for timed, reason in refused]
        parts.append("\n".join([f"no place: {several(len(refused), 'note')}", *lines]))
    return "\n\n".join(parts)


def _title(bar: TimedBar) -> str:
    chords = " ".join(chord.symbol or "NC" for chord in bar.chords) or bar.chord or ""
    return f"bar {bar.number}  {chords}".rstrip()


def _line(one: PlaceProposal) -> str:
    before, after = note_text(one.written), note_text(one.proposed)
    text = f"  {one.timed.address!s:<{PLACE_WIDTH}}{before:<{NOTE_WIDTH}}  {after:<{NOTE_WIDTH}}  {_how(one)}".rstrip()
    if len(text) <= WIDTH:
        return text
    return f"  {one.timed.address!s:<{PLACE_WIDTH}}{before}\n{' ' * (4 + PLACE_WIDTH)}{after}  {_how(one)}".rstrip()


def _how(one: PlaceProposal) -> str:
    """Finger and position: `finger 3, V` is the third finger while the first stands at fret 5."""
    finger, position = one.fingered.finger, one.fingered.position
    if finger == OPEN:
        return "open"
    if finger == TAP:
        return "tapped"
    if not finger or position is None:
        return ""
    name = "thumb" if finger == "T" else f"finger {finger}"
    return f"{name}, {roman(position)}"


def _refusal(timed: TimedNote, reason: str) -> str:
    text = f"  {timed.address!s:<{PLACE_WIDTH}}{note_text(timed.note):<{NOTE_WIDTH}}  {reason}"
    return textwrap.fill(text, WIDTH, subsequent_indent=" " * (4 + PLACE_WIDTH + NOTE_WIDTH), break_on_hyphens=False)


def listing_text(stroke: Sequence[TimedNote], found: Sequence[Candidate]) -> str:
    """Every place of one stroke, the easiest first, with what a hand would do there."""
    written = "+".join(note_text(note.note) for note in stroke)
    chord = f"  over {stroke[0].chord}" if stroke[0].chord else ""
    if not found:
        return f"{stroke[0].address}  {written}{chord}\n\n  it has no other place: {NO_FRET}"
    now = tuple((note.string, note.fret) for note in stroke)
    rows: list[tuple[str, str, str, tuple[str, ...]]] = [
        ("place", "finger", "the hand", ()),
        *(_row(one, now) for one in found),
    ]
    first, second, third = (max(len(str(row[column])) for row in rows) for column in range(3))
    lines = [f"{stroke[0].address}  {written}{chord}", ""]
    for place, finger, way, hard in rows:
        text = f"  {place:<{first}}  {finger:<{second}}  {way:<{third}}  "
        if len(hard) <= 1 and len(text) + sum(map(len, hard)) <= WIDTH:
            lines.append((text + "".join(hard)).rstrip())
        else:
            lines.append(text.rstrip())
            lines += [textwrap.fill(one, WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 8) for one in hard]
    return "\n".join(lines)


def _row(one: Candidate, now: tuple[tuple[int, object], ...]) -> tuple[str, str, str, tuple[str, ...]]:
    spots = "+".join(f"{string}:{fret}" for string, fret in one.spots)
    if one.spots == now:
        spots += " (now)"
    return spots, _fingers(one.fingered), _way(one.shift), one.faults


def _fingers(fingered: Sequence[Fingered]) -> str:
    """The fingers and their position: `3, VII`; `3 1, V` where several come down."""
    names = " ".join({OPEN: "0", TAP: "t"}.get(one.finger, one.finger) for one in fingered if one.finger)
    positions = [one.position for one in fingered if one.position is not None]
    return ", ".join(filter(None, (names, roman(positions[0]) if positions else "")))


def _way(shift: Shift | None) -> str:
    return f"{roman(shift.from_fret)} to {roman(shift.to_fret)}, {shift.mm:.0f} mm" if shift is not None else "stays"


def listing_json(stroke: Sequence[TimedNote], found: Sequence[Candidate]) -> str:
    """The same as records; `proposed` is empty for places off the neck."""
    return _json({"at": str(stroke[0].address), "places": [_candidate_record(one) for one in found]})


def _candidate_record(one: Candidate) -> dict[str, object]:
    shift = one.shift
    return {
        "proposed": "+".join(map(note_text, one.notes)),
        "places": [{"string": string, "fret": fret} for string, fret in one.spots],
        "fingers": [fingered.finger or None for fingered in one.fingered],
        "position": next((fingered.position for fingered in one.fingered if fingered.position is not None), None),
        "shift": shift and {"from": shift.from_fret, "to": shift.to_fret, "mm": round(shift.mm, 1)},
        "faults": list(one.faults),
    }


def _json(record: object) -> str:
    return json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False)


def as_json(proposed: Sequence[PlaceProposal], refused: Sequence[Refused]) -> str:
    """Both lists as records."""
    return _json({"placed": list(map(_record, proposed)), "unplaced": list(_refusals(refused))})


def _record(one: PlaceProposal) -> dict[str, object]:
    timed, fingered = one.timed, one.fingered
    return {
        "at": str(timed.address),
        "part": timed.part,
        "written": note_text(one.written),
        "proposed": note_text(one.proposed),
        "string": timed.string,
        "fret": None if timed.fret is None else float(timed.fret) if timed.fret != int(timed.fret) else int(timed.fret),
        "finger": fingered.finger or None,
        "position": fingered.position,
    }


def _refusals(refused: Sequence[Refused]) -> Iterator[dict[str, object]]:
    for timed, reason in refused:
        yield {"at": str(timed.address), "part": timed.part, "written": note_text(timed.note), "reason": reason}
