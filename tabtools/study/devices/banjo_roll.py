"""Banjo rolls: the plucking hand goes round three strings in threes, and the notes ring into each other.

Found, where notes are left to ring: eight single notes or more at equal times, each on another string than the one
before it, that begin with three strings in one order twice; a third of them at least on open strings.

`data`: `strings` (the three of them, in their order), `count` (of notes), `over` (symbols), `across` (whether the
threes go across the counts).

Example: third, second, first, third, second, first, third, first string in sixteenths, again and again, over G and C is
"banjo roll over G and C, strings 3-2-1 in threes across the beat".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import listed
from tabtools.study.music import Music
from tabtools.study.phrases import KnownStretch

KIND = "banjo roll"
FEWEST, SIZE = 8, 3


def find(music: Music) -> Iterator[Device]:
    """Each roll, in order."""
    for stretch in music.stretches if music.has_ringing else ():
        for first, last in _rows(music, stretch):
            strings = [_string(music, place) for place in range(first, last + 1)]
            start = _round(strings)
            if start is not None and len(strings) - start >= FEWEST and _is_open(music, first + start, last):
                yield _device(music, first + start, last, strings[start : start + SIZE])


def _rows(music: Music, stretch: KnownStretch) -> Iterator[tuple[int, int]]:
    """The longest rows of single notes at equal times, each on another string than the one before."""
    first = stretch.first
    for before, place in pairwise(range(stretch.first, stretch.last + 1)):
        if not _goes_on(music, before, place) or (before > first and _gap(music, before) != _gap(music, first)):
            yield first, before
            first = place if not _goes_on(music, before, place) else before
    yield first, stretch.last


def _goes_on(music: Music, before: int, place: int) -> bool:
    single = music.melody.single
    is_single = single[before] is not None and single[place] is not None
    return is_single and 0 != _string(music, before) != _string(music, place) != 0


def _gap(music: Music, place: int) -> int:
    strokes = music.melody.strokes
    return strokes[place + 1].onset - strokes[place].onset


def _string(music: Music, place: int) -> int:
    return music.melody.timeline.notes[music.melody.strokes[place].notes[0]].string


def _round(strings: Sequence[int]) -> int | None:
    """Where three different strings come twice in one order."""
    for start in range(len(strings) - 2 * SIZE + 1):
        first = strings[start : start + SIZE]
        if len(set(first)) == SIZE and strings[start + SIZE : start + 2 * SIZE] == first:
            return start
    return None


def _is_open(music: Music, first: int, last: int) -> bool:
    """Whether a third of the notes are open strings."""
    notes = music.melody.timeline.notes
    frets = [notes[struck.notes[0]].fret for struck in music.melody.strokes[first : last + 1]]
    return SIZE * frets.count(0) >= len(frets)


def _device(music: Music, first: int, last: int, strings: Sequence[int]) -> Device:
    backings = music.backings(first, last)
    over = list(dict.fromkeys(backing.place for backing in backings if backing.chord is not None))
    across = music.melody.strokes[first].beat % (SIZE * _gap(music, first)) != 0
    said = f"{KIND}{f' over {listed(over)}' if over else ''}, strings {'-'.join(map(str, strings))} in threes"
    said += " across the beat" if across else ""
    data = {
        "strings": list(strings),
        "count": last - first + 1,
        "over": [backing.symbol for backing in backings],
        "across": across,
    }
    return music.device(KIND, first, last, said, data)
