"""Altered tones that resolve: the last note under a dominant falls by a semitone to a tone of the chord it leads to.

Found: of two notes one after another, without silence between, under two chords, the first under a dominant and one
of its altered tones (b9 #9 b5 b13), the second on a count, a semitone below, and a tone of the chord a fifth below
the dominant.

`data`: `name`, `degree`, `over` (what resolves, over which symbol), `to`, `to_degree`, `to_over` (into what).

Example: Eb over D7b9, then D over Gm7, is "Eb, b9 of D7b9, resolves to D, 5 of Gm7".
"""

from __future__ import annotations

from collections.abc import Iterator

from tabtools.study.backing import Backing
from tabtools.study.devices.chord_names import ALTERED, is_dominant
from tabtools.study.devices.device import Device
from tabtools.study.music import Music

KIND = "resolution"
DOWN_A_FIFTH = 5


def find(music: Music) -> Iterator[Device]:
    """Each resolution, in order."""
    strokes = music.melody.strokes
    for place in music.melody.chord_changes(0, len(strokes)):
        if not _is_one_line(music, place):
            continue
        one, after = strokes[place - 1 : place + 1]
        before, backing = music.melody.backing(place - 1), music.melody.backing(place)
        falls = one.top - after.top == 1 and after.is_on_beat and after.top % 12 in backing.core
        if falls and _leads(before, backing) and (one.top - (before.root or 0)) % 12 in ALTERED:
            yield _device(music, place, before, backing)


def _is_one_line(music: Music, place: int) -> bool:
    """Whether this stroke and the one before it are single notes of which all is known, with no silence between."""
    one, after = music.melody.strokes[place - 1 : place + 1]
    is_single = music.melody.single[place] is not None and music.melody.single[place - 1] is not None
    return is_single and not (after.is_apart or one.doubt or after.doubt) and after.onset <= one.heard


def _leads(before: Backing, backing: Backing) -> bool:
    """Whether the first is a dominant that leads to the second."""
    if before.root is None or backing.root is None or not is_dominant(before):
        return False
    return (backing.root - before.root) % 12 == DOWN_A_FIFTH


def _device(music: Music, place: int, before: Backing, backing: Backing) -> Device:
    one, after = (struck.top % 12 for struck in music.melody.strokes[place - 1 : place + 1])
    said = f"{before.said(one, is_extension=True)}, resolves to {backing.said(after)}"
    data = {
        "name": before.names[one],
        "degree": before.extended[one],
        "over": before.symbol,
        "to": backing.names[after],
        "to_degree": backing.told[after],
        "to_over": backing.symbol,
    }
    return music.device(KIND, place - 1, place, said, data, main=False)
