"""Devices, roles and techniques by their names: whatever the annotator finds can be claimed.

A kind may be called by its last word: `run` is a scale run or a chromatic run. A device may be called by words of its
own sentence as well: `tritone substitute`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from tabtools.model.claims import SOUNDING, ApproachClaim, Claim, GuideToneClaim, NamedClaim
from tabtools.model.solo import AddressRange
from tabtools.study.devices import ALL_DEVICES
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import listed
from tabtools.study.role import ROLE_KINDS
from tabtools.study.study import Study
from tabtools.study.techniques import TECHNIQUES, techniques_of
from tabtools.study.truth.heard import HeardNotes
from tabtools.study.truth.notes import is_aim
from tabtools.study.truth.relations import no_approach
from tabtools.study.truth.stretches import direction_fault, no_guide_tones
from tabtools.timeline import TimedNote

_SPOKEN = {
    "neighbor tone": "neighbour tone",
    "neighbour note": "neighbour tone",
    "passing note": "passing tone",
    "chord note": "chord tone",
    "approach note": "approach",
    "tapping": "tap",
    "sliding": "slide",
    "bending": "bend",
    "whammy bar": "vibrato bar",
    "tremolo": "tremolo picking",
    "palm muted": "palm mute",
    "palm muting": "palm mute",
    "ringing": "let ring",
    "accented": "accent",
    "outside the chord": "outside",
}
_MOST_TOLD = 2


def _plain(name: str) -> str:
    """A name as names are compared: small letters, no hyphens, one of several."""
    words = re.sub(r"[-_]", " ", name.lower()).split()
    plain = " ".join(words)
    return _SPOKEN.get(plain, plain)


def _singular(name: str) -> str:
    return _SPOKEN.get(name.removesuffix("s"), name.removesuffix("s"))


KINDS = {_plain(module.KIND): module for module in ALL_DEVICES}
_ROLES = {_plain(kind): kind for kind in ROLE_KINDS}
_TECHNIQUES = {_plain(name): name for name in TECHNIQUES}


def kinds_called(name: str) -> list[str]:
    """The kinds of devices that a name means: the one of that name, or all whose last word it is."""
    for plain in (_plain(name), _singular(_plain(name))):
        for known in (plain, f"{plain}s"):
            if known in KINDS:
                return [KINDS[known].KIND]
        if found := [module.KIND for kind, module in KINDS.items() if kind.endswith((f" {plain}", f" {plain}s"))]:
            return found
    return []


def _one_of(name: str, known: Mapping[str, str]) -> str:
    plain = _plain(name)
    return known.get(plain) or known.get(_singular(plain)) or ""


def means_nothing(claim: Claim, study: Callable[[], Study]) -> str:
    """The name in a claim that no device, role or technique has, nor any device of the solo in its words; empty where
    all can be understood."""
    for statement in claim.statements:
        if isinstance(statement, NamedClaim):
            name = statement.name
            is_known = kinds_called(name) or _one_of(name, _ROLES) or _one_of(name, _TECHNIQUES)
            if not is_known and not any(_has_words(device, name) for device in study().devices):
                return name
    return ""


def is_written(statement: NamedClaim, heard: HeardNotes) -> bool:
    """Whether it names a technique that is written there, whatever the pitches."""
    technique = _one_of(statement.name, _TECHNIQUES)
    return bool(technique) and not statement.goal and technique in techniques_of(heard.named)


def _named(statement: NamedClaim, heard: HeardNotes) -> str | None:
    name = statement.name
    if heard.unknown or is_written(statement, heard):
        return None
    technique, role, kinds = _one_of(name, _TECHNIQUES), _one_of(name, _ROLES), kinds_called(name)
    if role and _has_role(role, statement, heard):
        return None
    device = next((device for device in _devices(heard, kinds, name) if _is_there(device, heard)), None)
    if device and not statement.goal:
        return None if statement.is_up is None else _other_way(statement.is_up, device, heard)
    if statement.goal and role and (aims := _aims(role, heard)):
        return f"the {role} there is of {listed([heard.name(note) for note in aims])}"
    return _what_is_there(technique, role, statement, heard)


# ---- devices


def _devices(heard: HeardNotes, kinds: list[str], name: str) -> Iterator[Device]:
    """Devices of these kinds, or with these words: what is told of the solo first, then all that could be told."""
    for device in heard.study.devices:
        if device.kind in kinds or (not kinds and _has_words(device, name)):
            yield device
    if kinds:
        yield from (device for device in heard.study.proposed if device.kind in kinds)


def _has_words(device: Device, name: str) -> bool:
    said = _plain(re.sub(r"[^\w\s-]", " ", device.sentence))
    return any(f" {words} " in f" {said} " for words in (_plain(name), _singular(_plain(name))))


def _is_there(device: Device, heard: HeardNotes) -> bool:
    """Whether a device lies within the stretch, or the stretch, of two notes at least, within the device."""
    if not heard.named or device.notes[-1] < heard.named[0].index or device.notes[0] > heard.named[-1].index:
        return False
    own = {note.index for note in heard.named}
    inside = own.intersection(device.notes)
    if len(inside) == len(device.notes):
        return True
    pitched = {note.index for note in heard.notes}
    return len(pitched) > 1 and pitched <= set(device.notes)


def _other_way(is_up: bool, device: Device, heard: HeardNotes) -> str | None:
    notes = [heard.timeline.notes[index] for index in device.notes]
    if device.kind.endswith("run"):
        return direction_fault(is_up, notes, heard)
    rise = (notes[-1].midi or 0) - (notes[0].midi or 0)
    if rise and (rise > 0) == is_up:
        return None
    return f"it goes from {heard.name(notes[0])} to {heard.name(notes[-1])} at {notes[-1].address}"


# ---- roles


def _has_role(role: str, statement: NamedClaim, heard: HeardNotes) -> bool:
    roles = heard.study.roles
    found = [note for note in heard.named if roles[note.index].kind == role]
    if statement.goal is None:
        return bool(found) or (role == "enclosure" and bool(_aims(role, heard)))
    aims = _aims(role, heard)
    if isinstance(statement.goal, AddressRange):
        there = heard.at(statement.goal)
        return there is not None and any(aim.index == note.index for aim in aims for note in there.named)
    return is_aim(statement.goal, aims, heard.key)


def _aims(role: str, heard: HeardNotes) -> list[TimedNote]:
    """The notes that notes of this role lead to, from within the stretch or to within it."""
    roles, own = heard.study.roles, {note.index for note in heard.named}
    goals = [
        one.target
        for index, one in enumerate(roles)
        if one.kind == role and one.target is not None and (index in own or one.target in own)
    ]
    return [heard.timeline.notes[goal] for goal in dict.fromkeys(goals)]


# ---- what is true instead


def _what_is_there(technique: str, role: str, statement: NamedClaim, heard: HeardNotes) -> str:
    if technique:
        found = techniques_of(heard.named)
        return (
            f"what is played there is {listed([name.replace('-', ' ') for name in found])}"
            if found
            else (f"no {technique.replace('-', ' ')} is played there")
        )
    if role and heard.notes:
        note = heard.notes[0]
        return f"{heard.told(note)}: {heard.study.roles[note.index].kind}"
    there = sorted(filter(lambda one: _is_there(one, heard), heard.study.devices), key=lambda one: len(one.notes))
    told = [f"{_head(device)} ({device.range})" for device in there]
    found_there = f"; what is found there: {'; '.join(told[:_MOST_TOLD])}" if told else ""
    elsewhere = None if told else next(_devices(heard, kinds_called(statement.name), statement.name), None)
    first = f"; the first of the solo is at {elsewhere.range}" if elsewhere else ""
    verb = "are" if statement.name.endswith("s") else "is"
    return f"no {statement.name} {verb} found there{found_there}{first}"


def _head(device: Device) -> str:
    """What a device is, without the degrees."""
    return re.split(": | over ", device.sentence, maxsplit=1)[0]


# ---- names that say what can be reckoned as well


def _guide_tones(statement: GuideToneClaim, heard: HeardNotes) -> str | None:
    """Thirds and sevenths alone, or a line of them with other notes between."""
    fault = no_guide_tones(statement, heard)
    return None if fault and statement.chord == SOUNDING and _is_told("guide tones", heard) else fault


def _approach(statement: ApproachClaim, heard: HeardNotes) -> str | None:
    """A step to the next note, or what is told as an approach from both sides."""
    fault = no_approach(statement, heard)
    is_plain = not (statement.is_chromatic or statement.side or statement.is_goal)
    return None if fault and is_plain and _is_told("approach", heard) else fault


def _is_told(name: str, heard: HeardNotes) -> bool:
    return any(device.kind in kinds_called(name) and _is_there(device, heard) for device in heard.study.devices)


RULES: Mapping[type, Callable[[Any, HeardNotes], str | None]] = {
    NamedClaim: _named,
    GuideToneClaim: _guide_tones,
    ApproachClaim: _approach,
}
