"""Moved cells: one fingering played again at another place on the neck.

Found: in one line, a figure of three to eight notes that comes again at once with the same distances in strings and
frets from note to note, and from its second note on with the same moves (hammer-on, slide, tap …), but from another
string or fret each time; a figure of three at least three times, a longer one at least twice. A figure that only goes
on by one distance is no figure. The search goes from left to right and takes the figure that reaches farthest, the
shortest among equals; figures share no notes.

This is about places on the neck: the same pitches at other places may have none, and so have notes whose places are
not known. Nor is it told where most of it is a repeated cell or a sequence.

`data`: `size`, `times`, `against` as in repeated cells, `places` (where each statement begins, `string:fret`), `stays`
and `changes` (of `fingering`, `moves`, `intervals`, `rhythm`, `string`, `fret`).

Example: `1:8 1:5 1:7 2:8 2:5 2:7 3:8 3:5 3:7` is "figure of three notes in one fingering, three times, from 1:8, 2:8
and 3:8; the intervals stay".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from tabtools.notation.write import decimal
from tabtools.study.devices.device import Device
from tabtools.study.devices.wording import in_words, listed
from tabtools.study.music import Line, Music
from tabtools.study.periods import in_time, repeats
from tabtools.timeline import TimedNote

KIND = "moved cell"
SMALLEST, LARGEST = 3, 8
SIZES = range(SMALLEST, LARGEST + 1)

Move = tuple[int, Fraction | int, str]
"""From one note to the next: strings, frets, and the move that reaches it."""


def find(music: Music) -> Iterator[Device]:
    """Each moved cell, in order."""
    notes = music.melody.timeline.notes
    for line in music.lines:
        if len(line.pitches) < 2 * SMALLEST:
            continue
        played = [
            notes[struck.notes[0]] for struck in music.melody.strokes[line.first : line.first + len(line.pitches)]
        ]
        moves = [_move(before, after) for before, after in pairwise(played)]
        begins = _begins(moves)
        place = 0
        for begin in sorted(begins):
            if begin < place:
                continue
            found = [(size, _times(played, moves, begin, size)) for size in begins[begin]]
            size, times = max(found, key=lambda one: one[0] * one[1])
            if times:
                yield _device(music, line, played, begin, size, times)
                place = begin + size * times


def _begins(moves: Sequence[Move]) -> dict[int, list[int]]:
    """Where a figure may begin that comes again, and of which sizes; its moves are not all the same."""
    begins: dict[int, list[int]] = {}
    other = _next_other(moves)
    for size in SIZES:
        for start, equal in repeats(moves, size, size - 1):
            for place in range(start, start + equal - size + 2):
                if other[place] < place + size:
                    begins.setdefault(place, []).append(size)
    return begins


def _next_other(moves: Sequence[Move]) -> list[int]:
    """For each move, where the next one is that goes another way on the neck; beyond them all where none is."""
    found = [len(moves) + LARGEST] * len(moves)
    for place in range(len(moves) - 2, -1, -1):
        is_same = moves[place][:2] == moves[place + 1][:2]
        found[place] = found[place + 1] if is_same else place + 1
    return found


def _move(before: TimedNote, after: TimedNote) -> Move:
    """From note to note; one of which a place is not known is like no other."""
    if not (before.is_placed and after.is_placed):
        return 0, 0, f"to note {after.index}"
    return after.string - before.string, (after.fret or 0) - (before.fret or 0), after.via


def _times(played: Sequence[TimedNote], moves: Sequence[Move], start: int, size: int) -> int:
    """How often a figure of this size is played from here on, 0 where it is not moved often enough."""
    at = start + size
    figure = moves[start : at - 1]
    times = 1
    while moves[at : at + size - 1] == figure and _place(played[at]) != _place(played[at - size]):
        times += 1
        at += size
    return times if times >= (3 if size == SMALLEST else 2) else 0


def _place(note: TimedNote) -> tuple[int, Fraction | int]:
    return note.string, note.fret or 0


def _device(music: Music, line: Line, played: Sequence[TimedNote], start: int, size: int, times: int) -> Device:
    first, last = line.first + start, line.first + start + size * times - 1
    time = in_time(music.melody.strokes[first : last + 1], size)
    begins = [_place(played[at]) for at in range(start, start + size * times, size)]
    pitches = [line.pitches[at : at + size] for at in range(start, start + size * times, size)]
    shapes = {tuple(pitch - figure[0] for pitch in figure) for figure in pitches}
    kept = {
        "fingering": True,
        "moves": True,
        "intervals": len(shapes) == 1,
        "rhythm": time.keeps_rhythm,
        "string": len({string for string, _ in begins}) == 1,
        "fret": len({fret for _, fret in begins}) == 1,
    }
    places = [f"{string}:{decimal(fret)}" for string, fret in begins]
    often = f"{in_words(times)} times" if times > 2 else "twice"
    against = f", {in_words(size)} against {in_words(time.against)} to a count" if time.against else ""
    said = (
        f"figure of {in_words(size)} notes in one fingering, {often}{against}, from {listed(places)}; "
        f"the intervals {'stay' if kept['intervals'] else 'change'}"
    )
    data = {
        "size": size,
        "times": times,
        "against": time.against,
        "places": places,
        "stays": [name for name, stays in kept.items() if stays],
        "changes": [name for name, stays in kept.items() if stays is False],
    }
    return music.device(KIND, first, last, said, data, main=False)
