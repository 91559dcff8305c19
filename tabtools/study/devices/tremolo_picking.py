"""Tremolo picking, where it is marked: each note struck again and again as fast as may be.

Found: strokes of one phrase one after another that are marked `[trem]`, one or more.

`data`: `notes` (names, the highest of each stroke), `over` (symbols).

Example: D E F G over Dm, all of them marked, are "tremolo picking: D E F G".
"""

from __future__ import annotations

from collections.abc import Iterator

from tabtools.study.devices.device import Device
from tabtools.study.devices.marked_rows import names_in, rows_marked, said_of
from tabtools.study.music import Music

KIND = "tremolo picking"


def find(music: Music) -> Iterator[Device]:
    """Each row of it, in order."""
    for first, last in rows_marked(music, "trem"):
        said = said_of(music, first, last, KIND, KIND)
        over = [backing.symbol for backing in music.backings(first, last)]
        yield music.device(KIND, first, last, said, {"notes": names_in(music, first, last), "over": over}, main=False)
