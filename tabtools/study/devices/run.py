"""All devices of a solo."""

from __future__ import annotations

from tabtools.study.devices import ALL_DEVICES
from tabtools.study.devices.device import Device
from tabtools.study.music import Music, music_of
from tabtools.timeline import Timeline

KINDS: tuple[str, ...] = tuple(module.KIND for module in ALL_DEVICES)
"""The names of the kinds of devices."""


def devices_of(timeline: Timeline, music: Music | None = None) -> tuple[Device, ...]:
    """Every device, in order of its first note, longer ones first, then in the order of `ALL_DEVICES`.

    `music` where it has been worked out already.
    """
    music = music or music_of(timeline)
    found = [device for module in ALL_DEVICES for device in module.find(music)]
    return tuple(sorted(found, key=lambda device: (device.notes[0], -len(device.notes))))
