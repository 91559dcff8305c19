"""Places proposed for notes, as text and as JSON."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Sequence
from itertools import groupby

from tabtools.hand import Fingered
from tabtools.hand.hand import OPEN, TAP
from tabtools.hand.places import Spot
from tabtools.hand.position import roman
from tabtools.model.solo import Header, Note
from tabtools.notation.write import note_text
from tabtools.placing.candidates import Candidate, Candidates
from tabtools.placing.proposal import PlaceProposal, Refusal, heard_there
from tabtools.placing.wish import NO_WISH, Wish
from tabtools.reports.tab import WIDTH
from tabtools.timeline import TimedBar, TimedNote, Timeline
from tabtools.wording import several

Elsewhere = tuple[TimedNote, int | None]
"""A note that is not where it was wished, and the position of the hand that plays it."""

PLACE_WIDTH, NOTE_WIDTH = 10, 14


def as_text(
    timeline: Timeline,
    proposed: Sequence[PlaceProposal],
    refused: Sequence[Refusal],
    elsewhere: Sequence[Elsewhere] = (),
    wish: Wish = NO_WISH,
    otherwise: Sequence[Elsewhere] = (),
) -> str:
    """Bar by bar what is proposed, with finger and position, then what has no place or one that was not asked for.

    `otherwise` is what could be played in the position asked for, but is not by the fingers that are worked out.
    """
    parts = []
    for number, one_bar in groupby(proposed, lambda one: one.timed.address.bar):
        bar = timeline.bar_numbers[number]
        parts.append("\n".join([_title(bar), *map(_line, one_bar)]))
    for said, stays in (("no place", False), ("left where it is", True)):
        some = [one for one in refused if one.stays == stays]
        if some:
            parts.append("\n".join([f"{said}: {several(len(some), 'note')}", *map(_refusal, some)]))
    if elsewhere:
        header = timeline.solo.header
        there = ", ".join(
            f"{timed.address} {_pitch(timed, header)}" + (f" ({roman(position)})" if position and wish.position else "")
            for timed, position in elsewhere
        )
        parts.append(textwrap.fill(f"as near {wish} as it can; not there: {there}", WIDTH, subsequent_indent="  "))
    if otherwise:
        said = f"within reach of position {wish.position}, but played from another: {_stretches(otherwise)}"
        parts.append(textwrap.fill(said, WIDTH, subsequent_indent="  "))
    return "\n\n".join(parts)


def _stretches(some: Sequence[Elsewhere]) -> str:
    """Notes one after the other in one position as `1.1.3-1.2.2 (IV)`."""
    parts = []
    for position, same in groupby(some, lambda one: one[1]):
        row = [str(timed.address) for timed, _ in same]
        named = row[0] if row[0] == row[-1] else f"{row[0]}-{row[-1]}"
        parts.append(f"{named} ({roman(position)})" if position else named)
    return ", ".join(parts)


def _pitch(timed: TimedNote, header: Header) -> str:
    heard = heard_there(timed, header)
    return heard.name if heard is not None else note_text(timed.note)


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


def _refusal(one: Refusal) -> str:
    text = f"  {one.timed.address!s:<{PLACE_WIDTH}}{note_text(one.timed.note):<{NOTE_WIDTH}}  {one.reason}"
    return textwrap.fill(text, WIDTH, subsequent_indent=" " * (4 + PLACE_WIDTH + NOTE_WIDTH), break_on_hyphens=False)


def listing_text(stroke: Sequence[TimedNote], found: Candidates, reason: str) -> str:
    """Every place of one stroke, the easiest first, with what a hand would do there; `reason` is why there is none."""
    written = "+".join(note_text(note.note) for note in stroke)
    chord = f"  over {stroke[0].chord}" if stroke[0].chord else ""
    if not found.places:
        said = textwrap.fill(f"no place to choose: {reason}", WIDTH, initial_indent="  ", subsequent_indent="  ")
        return f"{stroke[0].address}  {written}{chord}\n\n{said}"
    now = tuple((note.string, note.fret) for note in stroke)
    rows: list[tuple[str, str, str, tuple[str, ...]]] = [
        ("place", "finger", "the hand", ()),
        *(_row(one, now) for one in found.places),
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
    if found.left_out:
        lines += ["", f"  {found.left_out} more, none of them easier"]
    return "\n".join(lines)


def _row(one: Candidate, now: tuple[tuple[int, object], ...]) -> tuple[str, str, str, tuple[str, ...]]:
    spots = "+".join(map(_way_there, one.spots, one.notes)) if one.notes else f"{one.spots[0][0]}:{one.spots[0][1]}"
    if one.start is not None:
        (string, fret), ((_, goal),) = one.start, one.spots
        spots = f"{string}:{fret} {one.notes[0].via}{goal}"
    if one.spots == now:
        spots += " (now)"
    return spots, _fingers(one.fingered), _way(one), one.faults


def _way_there(spot: Spot, note: Note) -> str:
    """A place with the moves from there: `2:8b10`."""
    string, fret = spot
    return note_text(Note(string, fret, motions=tuple(motion for motion in note.motions if motion.arrives)))


def _fingers(fingered: Sequence[Fingered]) -> str:
    """The fingers and their position: `3, VII`; `3 1, V` where several come down."""
    names = " ".join({OPEN: "0", TAP: "t"}.get(one.finger, one.finger) for one in fingered if one.finger)
    positions = [one.position for one in fingered if one.position is not None]
    return ", ".join(filter(None, (names, roman(positions[0]) if positions else "")))


def _way(one: Candidate) -> str:
    """Where the hand comes from and goes on to: `stays`, `stretches 2 frets`, `IX to XV, then to X`; nothing
    where the neck ends."""
    if not one.fingered:
        return ""
    there = next((fingered.position for fingered in one.fingered if fingered.position is not None), one.before)
    ways = []
    if one.before is not None and there is not None:
        stays = f"stretches {several(one.stretch, 'fret')}" if one.stretch > 1 else "stays"
        ways.append(stays if one.before == there else f"{roman(one.before)} to {roman(there)}")
    if one.after is not None and there is not None and one.after != there:
        ways.append(f"then to {roman(one.after)}")
    return ", ".join(ways)


def listing_json(stroke: Sequence[TimedNote], found: Candidates, reason: str) -> str:
    """The same as records; `proposed` is empty for places off the neck, `reason` is there where `places` is empty.

    `left_out` is how many more there are, none of them easier.
    """
    record: dict[str, object] = {
        "at": str(stroke[0].address),
        "places": list(map(_candidate_record, found.places)),
        "left_out": found.left_out,
    }
    return _json(record if found.places else {**record, "reason": reason})


def _candidate_record(one: Candidate) -> dict[str, object]:
    shift = one.shift
    return {
        "proposed": "+".join(map(note_text, one.notes)),
        "from": one.start and {"string": one.start[0], "fret": one.start[1]},
        "places": [{"string": string, "fret": fret} for string, fret in one.spots],
        "fingers": [fingered.finger or None for fingered in one.fingered],
        "position": next((fingered.position for fingered in one.fingered if fingered.position is not None), None),
        "before": one.before,
        "after": one.after,
        "shift": shift and {"from": shift.from_position, "to": shift.to_position, "mm": round(shift.mm, 1)},
        "faults": list(one.faults),
    }


def _json(record: object) -> str:
    return json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False)


def as_json(
    timeline: Timeline,
    proposed: Sequence[PlaceProposal],
    refused: Sequence[Refusal],
    elsewhere: Sequence[Elsewhere] = (),
) -> str:
    """The three lists as records."""
    header = timeline.solo.header
    record = {
        "placed": list(map(_record, proposed)),
        "unplaced": list(map(_refusal_record, refused)),
        "not_there": [
            {"at": str(timed.address), "part": timed.part, "pitch": _pitch(timed, header), **_spot(timed)}
            for timed, _ in elsewhere
        ],
    }
    return _json(record)


def _record(one: PlaceProposal) -> dict[str, object]:
    timed, fingered = one.timed, one.fingered
    return {
        "at": str(timed.address),
        "part": timed.part,
        "written": note_text(one.written),
        "proposed": note_text(one.proposed),
        **_spot(timed),
        "finger": fingered.finger or None,
        "position": fingered.position,
    }


def _spot(timed: TimedNote) -> dict[str, object]:
    fret = timed.fret
    return {
        "string": timed.string,
        "fret": None if fret is None else float(fret) if fret != int(fret) else int(fret),
    }


def _refusal_record(one: Refusal) -> dict[str, object]:
    timed = one.timed
    return {
        "at": str(timed.address),
        "part": timed.part,
        "written": note_text(timed.note),
        "reason": one.reason,
        "stays": one.stays,
    }
