"""The floor of the bass: its first note in each bar, and under each chord."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

from tabtools.study.backing import Backing
from tabtools.study.devices.wording import listed
from tabtools.study.music import Music
from tabtools.study.phrases import KnownStretch

MOST_CHORDS = 5


class Floor(NamedTuple):
    """Strokes `first` to `last` of the bass stand in one bar over one chord; `pitch` is the first of them."""

    first: int
    last: int
    pitch: int
    backing: Backing

    @property
    def name(self) -> str:
        return self.backing.names[self.pitch % 12]


def floors_in(lower: Music, stretch: KnownStretch) -> list[Floor]:
    """The floors of a stretch of the bass, in order."""
    strokes, backing = lower.melody.strokes, lower.melody.backing
    places = range(stretch.first, stretch.last + 1)
    own = [list(same) for _, same in groupby(places, key=lambda at: (strokes[at].bar.onset, id(backing(at))))]
    return [Floor(one[0], one[-1], strokes[one[0]].pitches[-1], backing(one[0])) for one in own]


def under(backings: Sequence[Backing]) -> str:
    """` under Am, Am/G and F`; empty without chords, or where there are many."""
    symbols = [backing.place for backing in backings if backing.chord is not None]
    symbols = [symbol for at, symbol in enumerate(symbols) if not at or symbol != symbols[at - 1]]
    return f" under {listed(symbols)}" if symbols and len(symbols) <= MOST_CHORDS else ""
