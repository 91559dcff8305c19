"""What each device of a solo is worth telling, in bits.

That is what it saves, and more: the first of its sort in the solo by `FRESH` bits, the second by one less, the fourth
by two, the sixteenth by none; an arpeggio that is another chord than the one that sounds; what comes again an octave
higher or lower; the goal on top of a phrase; unison bends one after another.

Worth nothing is what something else tells: a statement in the same words as an earlier one, which is told there with
its places; what follows from another (`implied`); a shift along the neck, which stands where nothing else does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from math import log2

from tabtools.study.devices import arpeggio, held_bend, landing, position_shift, returning_figure, scale_run, variation
from tabtools.study.devices.device import Device

FRESH = 4.0
ANOTHER_CHORD = 3.0
"""An arpeggio that has not the root of the sounding chord at its bottom."""
SUBSTITUTE = 6.0
"""The tritone substitute."""
AN_OCTAVE = 6.0
ON_TOP = 3.0
"""The goal on top of a phrase."""
UNISON = 4.0
"""Unison bends struck again and again."""
TOLD_LAST = frozenset((position_shift.KIND,))
OCTAVES = (12, 24)


def worths(found: Sequence[tuple[Device, float]], last: Collection[int]) -> list[float]:
    """The worth of each of these devices, which come with the bits they save; those at the places `last` follow."""
    first: dict[tuple[str, str], int] = {}
    saved: dict[int, float] = {}
    for place in sorted(range(len(found)), key=lambda place: found[place][0].notes):
        device, bits = found[place]
        if place not in last and device.kind not in TOLD_LAST:
            at = first.setdefault((device.kind, device.sentence), place)
            saved[at] = max(saved.get(at, 0.0), bits + _departs(device))
    worth = [0.0] * len(found)
    heard: Counter[str] = Counter()
    for place in sorted(saved, key=lambda place: (-saved[place], found[place][0].notes)):
        sort = _sort(found[place][0])
        heard[sort] += 1
        worth[place] = saved[place] + max(0.0, FRESH - log2(heard[sort]))
    return worth


def _sort(device: Device) -> str:
    if device.kind == scale_run.KIND and device.data["scale"]:
        return f"{device.kind} {device.data['scale'].partition(' ')[2]}"
    return f"{device.kind} {_is_another_chord(device)}"


def _departs(device: Device) -> float:
    """What it is worth besides because it leaves the chord that sounds, or is far from where it was before."""
    if device.kind == arpeggio.KIND and _is_another_chord(device):
        return SUBSTITUTE if device.sentence.endswith("substitute") else ANOTHER_CHORD
    if device.kind == held_bend.KIND:
        return UNISON if device.data["unison"] and device.data["times"] > 1 else 0.0
    if device.kind == landing.KIND:
        return ON_TOP if device.data["highest"] else 0.0
    if device.kind == returning_figure.KIND and abs(device.data["semitones"]) in OCTAVES:
        return AN_OCTAVE
    return AN_OCTAVE if device.kind == variation.KIND and device.data["how"] == "octave" else 0.0


def _is_another_chord(device: Device) -> bool:
    degrees = device.data.get("degrees") if device.kind == arpeggio.KIND else None
    return bool(degrees and degrees[0] and degrees[0][0] != "1")
