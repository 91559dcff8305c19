"""What of a device is not certain, because something that it rests on is not.

Every device rests on its notes; one that is named over a chord rests on that chord as well, and few rest on the places
of notes besides their pitches. Of a doubtful rhythm no
device says anything; that it is open is told all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tabtools.study.devices.device import Device
from tabtools.study.open_parts import OpenPart

_OVER_A_CHORD = ("over", "degrees", "ends")
"""What `data` has of devices that are named over a chord."""
_ON_THE_NECK = frozenset(
    ("position shift", "sweep", "swept chords", "drone", "moved cell", "harmonics", "tapped figure", "picking pattern")
)
"""Kinds that are found by where on the neck notes are played; all others are found by pitches."""


def doubted(device: Device, parts: Sequence[Sequence[OpenPart]]) -> Device:
    """The device, said to be uncertain where it is; `parts` is what of each note of the timeline is open."""
    doubts = {part for index in device.notes for part in parts[index]}
    is_elsewhere = "where" in doubts and device.kind in _ON_THE_NECK
    is_over_doubtful = "chord" in doubts and any(map(device.data.get, _OVER_A_CHORD))
    if "reading" in doubts or is_elsewhere or is_over_doubtful:
        return replace(device, sentence=f"{device.sentence} (uncertain)", uncertain=True)
    if "rhythm" in doubts:
        return replace(device, sentence=f"{device.sentence} (rhythm uncertain)")
    return device
