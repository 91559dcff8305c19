"""The devices of a solo among its strokes: a line of text each, read only where devices are asked for."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterator
from functools import lru_cache
from typing import NamedTuple

from tabtools.search.columns import is_showable
from tabtools.search.strokes import Strokes

_KIND = "[a-z-]+"


class NotedDevice(NamedTuple):
    """A device by the name `find --device` takes, its first and last stroke, and what the study says of it."""

    name: str
    first: int
    last: int
    sentence: str


def device_name(kind: str) -> str:
    """`scale-run` for the kind `scale run`."""
    return kind.replace(" ", "-")


def device_line(device: NotedDevice) -> str:
    """A device as `Strokes.devices` keeps it."""
    return f"{device.name} {device.first} {device.last} {device.sentence}\n"


def devices_named(strokes: Strokes, names: Collection[str]) -> Iterator[NotedDevice]:
    """The devices of these names, in order. Lines that are none are passed over."""
    for match in _lines(tuple(names)).finditer(strokes.devices) if names else ():
        device = NotedDevice(match[1], int(match[2]), int(match[3]), match[4])
        if device.first <= device.last < len(strokes) and is_showable(device.sentence):
            yield device


def count_devices(strokes: Strokes) -> Counter[str]:
    """How many devices of each name there are."""
    return Counter(match[1] for match in _lines((_KIND,)).finditer(strokes.devices))


@lru_cache(maxsize=64)
def _lines(names: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(rf"^({'|'.join(names)}) ([0-9]{{1,9}}) ([0-9]{{1,9}}) (.*)$", re.MULTILINE)
