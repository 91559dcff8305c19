"""All devices of a solo: what explains its phrases, how that is played, and what comes again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import log2

from tabtools.study.devices import ALL_DEVICES, EXPLANATIONS, PLAYED, moved_cell, returning_figure, varied_answer
from tabtools.study.devices.device import Device
from tabtools.study.devices.doubts import doubted
from tabtools.study.explaining.explained import Explained, explained
from tabtools.study.music import Music
from tabtools.study.open_parts import OpenPart

KINDS: tuple[str, ...] = tuple(module.KIND for module in ALL_DEVICES)
"""The names of the kinds of devices."""
PLAYED_WORTH = 8.0
"""Bits that are as good as what is said of how a stretch is played."""
ANSWER_WORTH = 14.0
"""Bits that are as good as what is said of one phrase as the answer to another."""


def devices_of(music: Music, parts: Sequence[Sequence[OpenPart]]) -> tuple[Device, ...]:
    """Every device, in order of its first note, longer ones first, then in the order of `ALL_DEVICES`.

    Of what explains notes each has one main device (two where one ends with the note another begins with). `parts` is
    what of each note of the timeline is open.
    """
    chosen = explained(music, [proposal for module in EXPLANATIONS for proposal in module.find(music)])
    found = [(doubted(device, parts), saved) for device, saved in _with_worth(music, chosen)]
    return tuple(sorted(_ranked(found), key=lambda device: (device.notes[0], -len(device.notes))))


def _with_worth(music: Music, chosen: Explained) -> Iterator[tuple[Device, float]]:
    """Each device with the bits it saves, in the order of `ALL_DEVICES`."""
    main = [(proposal.tell(), saved) for proposal, saved in zip(chosen.proposals, chosen.saved, strict=True)]
    for module in ALL_DEVICES:
        if module in EXPLANATIONS:
            yield from ((device, saved) for device, saved in main if device.kind == module.KIND)
        elif module in PLAYED:
            yield from ((device, PLAYED_WORTH) for device in module.find(music) if not _is_said(device, main, module))
    yield from ((device, ANSWER_WORTH) for device in varied_answer.find(music))
    yield from returning_figure.find(music, chosen)


def _is_said(device: Device, main: Sequence[tuple[Device, float]], module: object) -> bool:
    """Whether a moved cell is what a figure that comes again says already."""
    if module is not moved_cell:
        return False
    own = set(device.notes)
    figures = (told for told, _ in main if told.kind in ("repeated cell", "sequence"))
    return any(2 * len(own.intersection(told.notes)) >= len(own) for told in figures)


def _ranked(found: Sequence[tuple[Device, float]]) -> Iterator[Device]:
    """The devices with their ranks: by what they save, and how rare their kind is in this solo."""
    counts = Counter(device.kind for device, _ in found)
    worth = [saved + log2(len(found) / counts[device.kind]) for device, saved in found]
    order = sorted(range(len(found)), key=lambda place: (-worth[place], found[place][0].notes))
    ranks = {place: rank for rank, place in enumerate(order, 1)}
    for place, (device, _) in enumerate(found):
        yield replace(device, rank=ranks[place])
