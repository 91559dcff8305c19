"""Roles and devices say the same of a note.

A note outside the scale that no neighbour explains is no riddle where a device explains it: it is a tone of the triad
that is played over the chord, of the figure that comes again, or a blue note. And where a run or a riff has a scale of
its own that is named, its notes are notes of that scale, whatever the scale of the moment is; so are those of the same
phrase over the same chord that lie in it.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from tabtools.harmony.scales import scale_named
from tabtools.model.pitch import parse_tone
from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.melody import Melody
from tabtools.study.music import Music
from tabtools.study.open_parts import OpenPart
from tabtools.study.phrases import Phrase
from tabtools.study.role import Role

UNEXPLAINED, EXPLAINED = "outside", "outside, explained"
OUTSIDE_SCALE = frozenset(
    (UNEXPLAINED, "chromatic passing", "chromatic neighbour", "passing in its voice", "approach by semitone")
)
SCALED = frozenset(("scale run", "altered line", "power chords", "octave displacement", "sequence"))
DOUBTS = frozenset(("reading", "chord", "rhythm"))


def has_unexplained(roles: Sequence[Role]) -> bool:
    """Whether there is a role that devices may explain; where not, they need not be looked for."""
    return any(role.rule in OUTSIDE_SCALE for role in roles)


def agreed(
    roles: Sequence[Role], devices: Sequence[Device], parts: Sequence[Sequence[OpenPart]], music: Music
) -> tuple[Role, ...]:
    """The roles; those outside the scale of the moment by what devices say of them. `parts` is what of them is open."""
    said = _said(devices)
    scales = _scales(devices, music)
    return tuple([_agreed(role, said.get(i), scales.get(i), parts[i]) for i, role in enumerate(roles)])


def _agreed(role: Role, said: str | None, scale: str | None, parts: Sequence[OpenPart]) -> Role:
    if role.rule not in OUTSIDE_SCALE or role.tone != "chromatic":
        return role
    if scale is not None:
        name = role.sentence.split(", ", 1)[0]
        is_open = not DOUBTS.isdisjoint(parts)
        return Role("scale note", "in a named scale", "scale note", f"{name}, a tone of {scale}", uncertain=is_open)
    return _explained(role, said, parts) if said and role.rule == UNEXPLAINED else role


def _scale(device: Device) -> str | None:
    """The scale that all notes of a device belong to and show."""
    is_whole = device.kind != "scale run" or "claim" in device.data
    scale = device.data.get("scale") if device.kind in SCALED and is_whole else None
    return scale if isinstance(scale, str) else None


def _scales(devices: Sequence[Device], music: Music) -> Mapping[int, str]:
    """The scale that holds a note: that of the last device it is in, or in whose reach it is."""
    melody = music.melody
    phrase_of = [phrase for phrase in music.phrases for _ in range(phrase.first, phrase.last + 1)]
    scales: dict[int, str] = {}
    seen = set()
    for device in reversed(devices):
        scale = _scale(device)
        if not scale:
            continue
        place = melody.stroke_of[device.notes[0]]
        chords = frozenset([melody.backings[note] for note in device.notes])
        notes = list(device.notes)
        if place is not None and (phrase_of[place].first, chords, scale) not in seen:
            seen.add((phrase_of[place].first, chords, scale))
            notes += _in_reach(melody, phrase_of[place], chords, scale)
        for note in notes:
            scales.setdefault(note, scale)
    return scales


def _in_reach(melody: Melody, phrase: Phrase, chords: Container[Backing], scale: str) -> Iterator[int]:
    """The notes of a phrase under these chords that a scale holds."""
    tonic, _, name = scale.partition(" ")
    tones = scale_named(name).pitch_classes(parse_tone(tonic).pitch_class)
    for struck in melody.strokes[phrase.first : phrase.last + 1]:
        for note, pitch in zip(struck.notes, struck.pitches, strict=True):
            if melody.backings[note] in chords and pitch % 12 in tones:
                yield note


def _said(devices: Sequence[Device]) -> Mapping[int, str]:
    """What devices say of their notes, by the notes' indices."""
    return {note: said for device in devices if (said := _words(device)) for note in device.notes}


def _words(device: Device) -> str:
    """What a device makes of each of its notes; empty where that is nothing."""
    data = device.data
    if device.kind == "arpeggio":
        return f"a tone of the {data['chord']} {'triad' if data['shape'] == 'triad' else 'arpeggio'}"
    if device.kind == "blue note":
        return f"the blue {data['which']}"
    return {
        "power chords": "in a power chord",
        "triad pair": "in a triad pair",
        "octave displacement": "in a line with octaves displaced",
        "pedal note": "over a pedal note",
        "repeated cell": "in a figure that comes again",
        "sequence": "in a sequence",
        "chromatic run": "in a chromatic run",
        "moving line": "in a line that moves by step",
    }.get(device.kind, "")


def _explained(role: Role, said: str, parts: Sequence[OpenPart]) -> Role:
    """The role of a note that a device explains: uncertain only where something about the note is open."""
    before = role.sentence.partition(", outside the scale")[0]
    sentence = f"{before}, outside the scale, {said}"
    return role._replace(rule=EXPLAINED, sentence=sentence, uncertain=not DOUBTS.isdisjoint(parts))
