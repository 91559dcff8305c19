"""What of a device is not certain, because something that it rests on is not.

Every device rests on its notes; one that is named over a chord rests on that chord as well. Of a doubtful rhythm no
device says anything; that it is open is told all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tabtools.study.devices.device import Device
from tabtools.study.open_parts import OpenPart

_OVER_A_CHORD = ("over", "degrees", "ends")
"""What `data` has of devices that are named over a chord."""


def doubted(device: Device, parts: Sequence[Sequence[OpenPart]]) -> Device:
    """The device, said to be uncertain where it is; `parts` is what of each note of the timeline is open."""
    doubts = {part for index in device.notes for part in parts[index]}
    if "reading" in doubts or ("chord" in doubts and any(map(device.data.get, _OVER_A_CHORD))):
        return replace(device, sentence=f"{device.sentence} (uncertain)", uncertain=True)
    if "rhythm" in doubts:
        return replace(device, sentence=f"{device.sentence} (rhythm uncertain)")
    return device
