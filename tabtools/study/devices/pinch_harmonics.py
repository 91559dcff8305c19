"""Pinch harmonics, where they are marked.

Found: strokes of one phrase one after another that are marked `[pinch]`, one or more.

`data`: `notes` (names of the fretted notes, the highest of each stroke), `over` (symbols).

Example: a marked D behind E G A B over Em is "pinch harmonic on D, b7 of Em".
"""

from __future__ import annotations

from collections.abc import Iterator

from tabtools.study.devices.device import Device
from tabtools.study.devices.marked_rows import names_in, rows_marked, said_of
from tabtools.study.music import Music

KIND = "pinch harmonics"


def find(music: Music) -> Iterator[Device]:
    """Each row of them, in order."""
    for first, last in rows_marked(music, "pinch"):
        said = said_of(music, first, last, "pinch harmonic", "pinch harmonics")
        over = [backing.symbol for backing in music.backings(first, last)]
        yield music.device(KIND, first, last, said, {"notes": names_in(music, first, last), "over": over}, main=False)
