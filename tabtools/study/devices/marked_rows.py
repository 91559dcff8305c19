"""Strokes one after another that are played in one way, as their marks say."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from tabtools.study.music import Music

MOST_TOLD = 10


def rows_marked(music: Music, word: str) -> Iterator[tuple[int, int]]:
    """The first and last stroke of each row within a phrase that carries this mark, in order."""
    notes, strokes = music.melody.timeline.notes, music.melody.strokes
    if word not in music.marks:
        return
    for stretch in music.stretches:
        places = range(stretch.first, stretch.last + 1)
        for is_marked, same in groupby(
            places,
            lambda place: any(mark.word == word for index in strokes[place].notes for mark in notes[index].marks),
        ):
            own = list(same)
            if is_marked:
                yield own[0], own[-1]


def names_in(music: Music, first: int, last: int) -> list[str]:
    """The names of the highest notes of these strokes."""
    melody = music.melody
    return [melody.backing(at).names[melody.strokes[at].top % 12] for at in range(first, last + 1)]


def said_of(music: Music, first: int, last: int, one: str, many: str) -> str:
    """`pinch harmonic on D, b7 of Em`; `pinch harmonics: A G C`."""
    if first == last:
        return f"{one} on {music.melody.backing(first).said(music.melody.strokes[first].top % 12)}"
    names = names_in(music, first, last)
    return f"{many}: {' '.join(names)}" if len(names) <= MOST_TOLD else f"{many}, {len(names)} notes"
