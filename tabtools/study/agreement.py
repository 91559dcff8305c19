"""Roles and devices say the same of a note.

A note outside the scale that no neighbour explains is no riddle where a device explains it: it is a tone of the triad
that is played over the chord, of the scale that is run through, of the figure that comes again, or a blue note.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tabtools.study.devices.device import Device
from tabtools.study.open_parts import OpenPart
from tabtools.study.role import Role

UNEXPLAINED, EXPLAINED = "outside", "outside, explained"
DOUBTS = frozenset(("reading", "chord", "rhythm"))


def has_unexplained(roles: Sequence[Role]) -> bool:
    """Whether there is a role that devices may explain; where not, they need not be looked for."""
    return any(role.rule == UNEXPLAINED for role in roles)


def agreed(roles: Sequence[Role], devices: Sequence[Device], parts: Sequence[Sequence[OpenPart]]) -> tuple[Role, ...]:
    """The roles; those that nothing explains by what a device says of their notes. `parts` is what of them is open."""
    said = _said(devices)
    return tuple(
        [
            _explained(role, said[index], parts[index]) if role.rule == UNEXPLAINED and index in said else role
            for index, role in enumerate(roles)
        ]
    )


def _said(devices: Sequence[Device]) -> Mapping[int, str]:
    """What devices say of their notes, by the notes' indices."""
    return {note: said for device in devices if (said := _words(device)) for note in device.notes}


def _words(device: Device) -> str:
    """What a device makes of each of its notes; empty where that is nothing."""
    data = device.data
    if device.kind == "arpeggio":
        return f"a tone of the {data['chord']} {'triad' if data['shape'] == 'triad' else 'arpeggio'}"
    if device.kind == "scale run":
        return f"a tone of {data['scale']}" if data["scale"] else ""
    if device.kind == "blue note":
        return f"the blue {data['which']}"
    if device.kind == "power chords":
        return f"a tone of {data['scale']}" if data["scale"] else "in a power chord"
    return {
        "triad pair": "in a triad pair",
        "octave displacement": "in a line with octaves displaced",
        "pedal note": "over a pedal note",
        "repeated cell": "in a figure that comes again",
        "sequence": "in a sequence",
        "chromatic run": "in a chromatic run",
    }.get(device.kind, "")


def _explained(role: Role, said: str, parts: Sequence[OpenPart]) -> Role:
    """The role of a note that a device explains: uncertain only where something about the note is open."""
    before = role.sentence.partition(", outside the scale")[0]
    sentence = f"{before}, outside the scale, {said}"
    return role._replace(rule=EXPLAINED, sentence=sentence, uncertain=not DOUBTS.isdisjoint(parts))
