"""Dips and dives of the vibrato bar.

Found, the first of each depth in a solo: a note that the bar takes down by a semitone or more, within its slot or by
the slots after it, and brings back to where it was (a dip), or leaves below (a dive). Further ones as deep are counted
with the first.

`data`: `how` (`dip`, `dive`), `semitones` (how deep; a quarter tone is 0.5), `from` (the degree over the chord that is
left, in either style, None without chord and key), `times`, `over` (the symbol, None for no chord).

Example: `1:10w8w10` over C#m9, half a step down, is "vibrato bar dip of a whole tone, from 1 of C#m9 and back".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tabtools.model.pitch import nearest_semitone
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import INTERVALS, often
from tabtools.study.melody import stretch_of
from tabtools.study.music import Music
from tabtools.timeline import TimedNote

KIND = "bar dip"
DIP, DIVE = "dip", "dive"
BAR = "w"
IN_TUNE = 0.2
"""Semitones within which a note is back where it was."""


def find(music: Music) -> Iterator[Device]:
    """The dips and dives of each depth, in order of the first of them."""
    found: dict[tuple[str, float], list[list[int]]] = {}
    for chain in _chains(music.melody.timeline.notes):
        heights = [height for index in chain for height in music.melody.timeline.notes[index].path]
        deep = heights[0] - min(heights)
        if deep >= 1 - IN_TUNE:
            is_back = abs(heights[-1] - heights[0]) <= IN_TUNE
            found.setdefault((DIP if is_back else DIVE, round(deep, 2)), []).append(chain)
    for (how, deep), chains in found.items():
        yield _device(music, how, float(deep), chains)


def _chains(notes: Sequence[TimedNote]) -> Iterator[list[int]]:
    """Each note that the bar moves, with the slots by which it goes on doing so."""
    chains: dict[int, list[int]] = {}
    for note in notes:
        if not (note.via == BAR or note.motions) or not note.path:
            continue
        if note.via == BAR and note.origin is not None:
            chain = chains.pop(note.origin, None) or [note.origin]
            chains[note.index] = [*chain, note.index]
        elif any(motion.sign == BAR for motion in note.motions):
            chains[note.index] = [note.index]
    return iter(sorted(chains.values()))


def _device(music: Music, how: str, deep: float, chains: Sequence[Sequence[int]]) -> Device:
    melody = music.melody
    first, last = chains[0][0], chains[0][-1]
    backing = melody.backings[first]
    left = nearest_semitone(melody.timeline.notes[first].path[0]) % 12
    name = (backing.told or backing.names)[left]
    far = INTERVALS.get(int(deep) if deep.is_integer() else 0, f"{deep:g} semitones")
    said = f"vibrato bar {how} of {far}, from {name}"
    said += f" of {backing.place}" if backing.degrees else ""
    said += " and back" if how == DIP else ""
    said += f", {often(len(chains))} in this solo" if len(chains) > 1 else ""
    data = {
        "how": how,
        "semitones": int(deep) if deep.is_integer() else deep,
        "from": name if backing.degrees else None,
        "times": len(chains),
        "over": backing.symbol,
    }
    notes = tuple(range(first, last + 1))
    return Device(KIND, stretch_of(melody.timeline.notes, first, last), notes, said, data, main=False)
