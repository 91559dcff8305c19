"""Suspensions: a note of the chord before is heard over the new one, and gives way to a step below.

Found: what `tabtools.study.suspensions` finds; in one line only what is held over, as the roles of its notes tell what
is struck again, and two or more in a row in two voices struck together.

`data`: `name` (`4-3`, `9-8`, `6-5`, `7-6`), `suspended` and `resolved` (names), `over` (the symbol), `held_from` (the
symbol under which the note was struck, None where it is struck again) and, above a bass, `voice` (`melody`).

Example: D, a tone of G, over A, where C# follows, is "4-3 suspension over A: D resolves to C#".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.study.suspensions import Chain, chains_in

KIND = "suspension"


def find(music: Music) -> Iterator[Device]:
    """Each suspension, in order, and each chain of them."""
    if not music.bass and len(music.together) > 1:
        yield from (_chain(music, chain) for chain in chains_in(music.melody))
    for one in music.suspensions:
        if not music.bass and one.held_from is None:
            continue
        suspended = music.melody.backings[one.note].names[one.pitch % 12]
        resolved = one.backing.names[one.resolved % 12]
        held = f", held over from {one.held_from.place}," if one.held_from else ""
        said = f"{one.name} suspension over {one.backing.place}: {suspended}{held} resolves to {resolved}"
        data = {
            "name": one.name,
            "suspended": suspended,
            "resolved": resolved,
            "over": one.backing.symbol,
            "held_from": one.held_from.symbol if one.held_from else None,
        }
        if not music.bass:
            first, last = (music.melody.stroke_of[at] or 0 for at in (one.note, one.goal))
            yield music.device(KIND, first, last, said, data, main=False)
            continue
        where = stretch_of(music.melody.timeline.notes, one.note, one.goal)
        yield Device(KIND, where, tuple(sorted((one.note, one.goal))), said, {"voice": "melody"} | data, main=False)


def _chain(music: Music, chain: Chain) -> Device:
    backing = music.melody.backing
    names = [backing(chain.first + 2 * at).names[pitch % 12] for at, pitch in enumerate(chain.line)]
    pairs = [f"{before} to {after}" for before, after in pairwise(names)]
    said = f"{chain.name} suspensions in a row: {', '.join(pairs)}"
    data = {
        "name": chain.name,
        "suspended": names[0],
        "resolved": names[-1],
        "over": backing(chain.first).symbol,
        "held_from": None,
    }
    return music.device(KIND, chain.first, chain.last, said, data, main=False)
