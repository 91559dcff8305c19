"""Blue notes: the blue third and the blue fifth.

Found, the first of each in a solo: notes that arrive between the flat and the major third of a chord with a major
third, curled there or played so (the blue third); and in a key of the blues, a minor or a mixolydian one the flat fifth
of a chord on the tonic (in the blues of any chord with a fifth), held for a count or
longer, or curled, and left for the fourth or the fifth (the blue fifth). Both are sounds of their own and not read as
one of the tones beside them. Further ones over the same chord are counted with the first.

`data`: `which` (`third`, `fifth`), `times`, `curled` (whether a bend leads there), `over` (the symbol).

Example: `3:5b5.5` over A7, twice in a solo, is "the blue third of A7, curled, twice in this solo".
"""

from __future__ import annotations

from collections.abc import Iterator

from tabtools.study.backing import Backing
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import often
from tabtools.study.melody import is_between_tones, stretch_of
from tabtools.study.music import Music

KIND = "blue note"
THIRD, FIFTH = "third", "fifth"
BLUE_FIFTH = 6


def find(music: Music) -> Iterator[Device]:
    """The blue notes over each chord, in order of the first of them."""
    found: dict[tuple[str, Backing], list[int]] = {}
    for place in range(len(music.melody.strokes)):
        which = _which(music, place)
        if which:
            found.setdefault((which, music.melody.backing(place)), []).append(place)
    for (which, backing), places in found.items():
        yield _device(music, which, backing, places)


def _which(music: Music, place: int) -> str:
    """Which blue note a stroke is, empty where it is none."""
    if place in music.blue:
        return THIRD
    melody = music.melody
    struck, backing = melody.strokes[place], melody.backing(place)
    if backing.root is None or melody.single[place] is None or (struck.top - backing.root) % 12 != BLUE_FIFTH:
        return ""
    if (backing.root + 7) % 12 not in backing.core or backing.core.isdisjoint(_thirds(backing.root)):
        return ""
    is_held = struck.doubt is None and struck.release - struck.onset >= struck.beat
    is_weighty = is_held or is_between_tones(melody.timeline.notes[struck.notes[0]])
    return FIFTH if is_weighty and _is_bluesy(backing) and _is_left_by_step(music, place) else ""


def _thirds(root: int) -> frozenset[int]:
    return frozenset(((root + 3) % 12, (root + 4) % 12))


def _is_bluesy(backing: Backing) -> bool:
    """Whether key and chord are of the blues."""
    key = backing.key
    if key is None:
        return False
    return key.mode == "blues" or (key.tonic.pitch_class == backing.root and 10 in key.semitones)


def _is_left_by_step(music: Music, place: int) -> bool:
    """Whether the next stroke is the fourth or the fifth."""
    strokes = music.melody.strokes
    if place + 1 == len(strokes) or strokes[place + 1].is_apart or strokes[place + 1].doubt:
        return False
    return abs(strokes[place + 1].top - strokes[place].top) == 1


def _device(music: Music, which: str, backing: Backing, places: list[int]) -> Device:
    melody = music.melody
    struck = [melody.timeline.notes[melody.strokes[place].notes[0]] for place in places]
    is_curled = any(note.via == "b" or note.motions for note in struck if is_between_tones(note))
    said = f"the blue {which} of {backing.place}"
    said += ", curled" if is_curled and which == THIRD else ""
    if which == FIFTH:
        is_down = melody.strokes[places[-1] + 1].top < melody.strokes[places[-1]].top
        said += f", b5, {'curled' if is_curled else 'held'}, then {'down to 4' if is_down else 'up to 5'}"
    if len(places) > 1:
        said += f", {often(len(places))} in this solo"
    data = {"which": which, "times": len(places), "curled": is_curled, "over": backing.symbol}
    first = melody.strokes[places[0]].notes[0]
    return Device(KIND, stretch_of(melody.timeline.notes, first, first), (first,), said, data, main=False)
