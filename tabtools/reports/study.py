"""What a solo's notes and phrases do: roles and devices, and statistics of one solo or many."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence

from tabtools.reports.tab import WIDTH
from tabtools.study import Device, Role, Statistics, Study
from tabtools.study.telling import most_told
from tabtools.study.told_notes import ToldNote, told_notes
from tabtools.timeline import TimedBar, TimedNote

MOST = 6


def as_text(study: Study, bars: list[TimedBar], width: int = WIDTH) -> str:
    """The devices that begin in these bars, the notes outside chord and scale, then figures of the whole solo.

    Of a whole solo what is most worth telling is told, and the rest by its places.
    """
    wanted = {bar.number for bar in bars}
    own = [one for one in study.devices if one.range.first.bar in wanted]
    is_whole = len(bars) == len(study.timeline.bars)
    last = most_told(len(bars)) if is_whole else len(study.devices)
    devices = [_device(one, width) for one in own if one.rank <= last]
    blocks = ["What the phrases do", *(devices or ["  nothing that has a name here"])]
    blocks += _folded([one for one in own if one.rank > last], width)
    told = [_note(one, width) for one in told_notes(study) if one.note.address.bar in wanted]
    if told:
        blocks += ["", "Notes that are not of chord or scale", *told]
    blocks += ["", "The whole solo", statistics_text(study.statistics, width)]
    return "\n".join(blocks)


def _device(device: Device, width: int) -> str:
    return _entry(str(device.range), f"{device.kind}: {device.sentence}", width)


def _folded(devices: Sequence[Device], width: int) -> list[str]:
    """Where else something of a kind is, and how to be told."""
    if not devices:
        return []
    places: dict[str, list[str]] = {}
    for device in devices:
        places.setdefault(device.kind, []).append(str(device.range))
    listed = "; ".join(f"{kind} {', '.join(own)}" for kind, own in sorted(places.items()))
    first = devices[0].range.first.bar
    said = f"and {len(devices)} more: {listed} (--bars {first} tells what is in bar {first})"
    return [textwrap.fill(said, width, initial_indent="  ", subsequent_indent=" " * 6, break_on_hyphens=False)]


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
