"""Places proposed for notes, as text and as JSON."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby

from tabtools.hand.hand import OPEN, TAP
from tabtools.notation.write import note_text
from tabtools.placing.proposal import PlaceProposal
from tabtools.reports.hands import roman
from tabtools.reports.tab import WIDTH
from tabtools.timeline import TimedBar, TimedNote, Timeline
from tabtools.wording import several

Refused = tuple[TimedNote, str]
"""A note that has no place, and why."""

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


def as_json(proposed: Sequence[PlaceProposal], refused: Sequence[Refused]) -> str:
    """Both lists as records."""
    return json.dumps(
        {"placed": list(map(_record, proposed)), "unplaced": list(_refusals(refused))},
        indent=2,
        ensure_ascii=False,
        allow_nan=False,
    )


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
