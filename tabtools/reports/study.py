"""What a solo's notes and phrases do: roles and devices, and statistics of one solo or many."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence

from tabtools.reports.tab import WIDTH
from tabtools.study import Device, Role, Statistics, Study
from tabtools.study.devices import arpeggio, held_bend, position_shift
from tabtools.study.telling import Statement, statements, told_at_once
from tabtools.study.told_notes import ToldNote, told_notes
from tabtools.timeline import TimedBar, TimedNote

MOST = 6


def as_text(study: Study, bars: list[TimedBar], width: int = WIDTH) -> str:
    """The devices that begin in these bars, the notes outside chord and scale, then figures of the whole solo.

    Of a whole solo what is most worth telling is told, and the rest by its places.
    """
    wanted = {bar.number for bar in bars}
    said = statements((one, worth) for one, worth in study.weighed if one.range.first.bar in wanted)
    is_whole = len(bars) == len(study.timeline.bars)
    first = told_at_once(said, len(bars)) if is_whole else {one.rank for one in said}
    devices = [_statement(one, width) for one in said if one.rank in first]
    blocks = ["What the phrases do", *(devices or ["  nothing that has a name here"])]
    blocks += _folded([device for one in said if one.rank not in first for device in one.devices], width)
    told = [_note(one, width) for one in told_notes(study) if one.note.address.bar in wanted]
    if told:
        blocks += ["", "Notes that are not of chord or scale", *told]
    blocks += ["", "The whole solo", statistics_text(study.statistics, width)]
    return "\n".join(blocks)


def _statement(statement: Statement, width: int) -> str:
    places = [str(device.range) for device in statement.devices]
    said = statement.first.sentence
    if statement.first.kind == position_shift.KIND:
        said = f"{position_shift.KIND} {said}"
    said += f"; also {', '.join(places[1:])}" if len(places) > 1 else ""
    return _entry(places[0], said, width)


def _folded(devices: Sequence[Device], width: int) -> list[str]:
    """Where else something of a kind is, and how to be told."""
    if not devices:
        return []
    places: dict[str, list[str]] = {}
    for device in sorted(devices, key=lambda device: device.notes):
        places.setdefault(_kind(device), []).append(f"{_in_short(device)}{device.range}")
    listed = "; ".join(f"{kind} {', '.join(own)}" for kind, own in sorted(places.items()))
    first = min(device.range.first.bar for device in devices)
    said = f"and {len(devices)} more: {listed} (--bars {first} tells what is in bar {first})"
    return [textwrap.fill(said, width, initial_indent="  ", subsequent_indent=" " * 6, break_on_hyphens=False)]


def _kind(device: Device) -> str:
    return "unison bend" if device.kind == held_bend.KIND and device.data["unison"] else device.kind


def _in_short(device: Device) -> str:
    """`Em7 over Cmaj7 `: the chord of an arpeggio, and which one it stands over where that is another one."""
    if device.kind != arpeggio.KIND:
        return ""
    over, degrees = device.data["over"][0], device.data["degrees"][0]
    is_another = over and over != device.data["chord"] and degrees and degrees[0] != "1"
    return f"{device.data['chord']}{f' over {over}' if is_another else ''} "


def _note(told: ToldNote, width: int) -> str:
    return _entry(str(told.note.address), f"{told.kind}: {told.said}", width)


def _entry(place: str, text: str, width: int) -> str:
    return textwrap.fill(f"{place}  {text}", width, initial_indent="  ", subsequent_indent=" " * 6)


def statistics_text(statistics: Statistics, width: int = WIDTH) -> str:
    """Figures as lines of words, each kind with its most frequent entries."""
    figures = statistics.to_dict()
    rows = [f"notes: {figures['notes']}, from {figures['lowest']} to {figures['highest']}"]
    share = figures["chord_tones"]["strong_beats"]["share"]
    if share is not None:
        rows.append(f"chord tones on strong beats: {share:.0%}")
    rows += [f"over {chord or 'major'}: {_counted(degrees)}" for chord, degrees in figures["degrees"].items()]
    figures["scales"] = statistics.told_scales
    for name in ("roles", "devices", "scales", "techniques"):
        if figures[name]:
            rows.append(f"{name}: {_counted(figures[name])}")
    return "\n".join(textwrap.fill(row, width, initial_indent="  ", subsequent_indent=" " * 6) for row in rows)


def _counted(counts: Mapping[str, int]) -> str:
    entries = [f"{name} ×{count}" for name, count in counts.items()]
    rest = len(entries) - MOST
    return ", ".join(entries[:MOST]) + (f" and {rest} more" if rest > 0 else "")


def role_record(role: Role) -> dict[str, object]:
    """What JSON says of a note's role."""
    return {
        "role": role.kind,
        "rule": role.rule,
        "role_sentence": role.sentence,
        "role_uncertain": role.uncertain,
    }


def device_record(device: Device, notes: Sequence[TimedNote]) -> dict[str, object]:
    """What JSON says of a device; its notes by their addresses."""
    return {
        "kind": device.kind,
        "range": str(device.range),
        "notes": [str(notes[index].address) for index in device.notes],
        "sentence": device.sentence,
        "uncertain": device.uncertain,
        "main": device.main,
        "rank": device.rank,
        "data": device.data,
    }
