"""Figures that solos share: six or more notes with the same intervals, in whatever key and register.

A figure is a run of strokes with the same intervals from note to note (octaves count, unlike in `find --like`); on
demand with the same rhythm too, in proportion. It is as long as it can be: where all of its places go on, or began,
in the same way, they are part of it. It does not run over a dead note or from one phrase into the next.

Too trivial to be told are (our own rule):

- figures of fewer than three different pitches: repeated notes, trills, two notes in turn;
- runs: figures that go one way only, by steps of a minor third at most, repeated notes among them or not
  (chromatic, scale, pentatonic and diminished runs: what everybody practises);
- figures of equal steps, however wide.

Of places within one solo that overlap the first one counts. Beyond 256 notes a figure goes on as far as all of its
places agree.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import NamedTuple

from tabtools.search.collection import FoundPlace, Searched
from tabtools.search.columns import NOTHING, cell_number, tabled, value_of
from tabtools.search.match import Stretch
from tabtools.search.strokes import PHRASE, Strokes

FEWEST_NOTES = 6
FEWEST_PITCHES = 3
WIDEST_RUN_STEP = 6
"""A minor third, in quarter tones."""

_COMPARED = 32
_MOST_COMPARED = 8 * _COMPARED


@dataclass(frozen=True, slots=True)
class SharedFigure:
    """A figure and all its places, in the order of the solos; they are in two solos at least.

    `steps` are its intervals in quarter tones.
    """

    steps: tuple[int, ...]
    places: tuple[FoundPlace, ...]

    @property
    def notes(self) -> int:
        return len(self.steps) + 1


def shared_figures(
    solos: Sequence[Searched], with_rhythm: bool = False, fewest: int = FEWEST_NOTES
) -> list[SharedFigure]:
    """The figures that two or more of these solos share, the longest first, then those in most places."""
    rows = _rows(solos, with_rhythm)
    found = []
    for length, group in _alike(rows, fewest - 1):
        kept = _apart(group, length)
        steps = _steps(solos, kept[0], length)
        if len({start.solo for start in kept}) > 1 and not is_trivial(steps):
            places = (FoundPlace(solos[start.solo], Stretch(start.at, start.at + length)) for start in kept)
            found.append(SharedFigure(steps, tuple(places)))
    return sorted(found, key=lambda figure: (-figure.notes, -len(figure.places)))


def is_trivial(steps: Sequence[int]) -> bool:
    """Whether a figure of these intervals (quarter tones) is not worth telling; the rule stands above."""
    if len(set(accumulate(steps, initial=0))) < FEWEST_PITCHES or len(set(steps)) == 1:
        return True
    low, high = min(steps), max(steps)
    return (low >= 0 and high <= WIDEST_RUN_STEP) or (high <= 0 and low >= -WIDEST_RUN_STEP)


class _Start(NamedTuple):
    """A stroke that a figure may begin with: what follows it, what leads to it (empty: nothing), where it is."""

    following: str
    before: str
    solo: int
    at: int


class _Row(NamedTuple):
    """A solo as it is compared, one character a stroke.

    `steps` lead to the stroke, NOTHING where a phrase begins; `tied` tell the step and, where the rhythm counts, how
    the time before it compares with the time before that; `turns` compare the times after and before the stroke.
    """

    steps: str
    tied: str
    turns: str


def _rows(solos: Sequence[Searched], with_rhythm: bool) -> list[_Row]:
    steps = [_steps_within_phrases(solo.strokes) for solo in solos]
    turns = [_turns(solo.strokes) if with_rhythm else [""] * len(solo.strokes) for solo in solos]
    _, all_turns = tabled(turn for row in turns for turn in row)
    _, all_tied = tabled(
        None if step == NOTHING else step + turn
        for row, around in zip(steps, turns, strict=True)
        for step, turn in zip(row, ["", *around], strict=False)
    )
    ends = list(accumulate(map(len, steps), initial=0))
    return [
        _Row(row, all_tied[begin:end], all_turns[begin:end])
        for row, (begin, end) in zip(steps, pairwise(ends), strict=True)
    ]


def _steps_within_phrases(strokes: Strokes) -> str:
    cells = zip(strokes.steps, strokes.phrases, strict=True)
    return "".join(NOTHING if phrase == PHRASE else step for step, phrase in cells)


def _turns(strokes: Strokes) -> list[str]:
    return [value_of(strokes.time_table, cell) or "" for cell in strokes.proportions]


def _alike(rows: Sequence[_Row], fewest: int) -> Iterator[tuple[int, list[_Start]]]:
    """Numbers of steps, `fewest` or more, and all the strokes after which they are the same and no further.

    Left out are those that are all led to by the same step: they are part of something longer. Steps are compared
    in lengths of `_COMPARED`.
    """
    waiting = [(0, list(_starts(rows, fewest)))]
    while waiting:
        done, starts = waiting.pop()
        starts.sort()
        for common, begin, end in _groups([start.following for start in starts], 0 if done else fewest):
            group = starts[begin:end]
            leads = {start.before for start in group}
            if len(leads) == 1 and leads != {""}:
                continue
            length = done + common
            if common < _COMPARED:
                yield length, group
            elif length < _MOST_COMPARED:
                waiting.append((length, [_later(rows, start, length) for start in group]))
            else:
                yield length + _also_alike(rows, [(start.solo, start.at + length + 1) for start in group]), group


def _starts(rows: Sequence[_Row], fewest: int) -> Iterator[_Start]:
    """Every stroke that so many steps follow within its phrase."""
    for number, row in enumerate(rows):
        for at in range(len(row.steps) - fewest):
            following = row.steps[at + 1] + row.tied[at + 2 : at + 1 + _COMPARED].partition(NOTHING)[0]
            if len(following) >= fewest and following[0] != NOTHING:
                before = "" if row.steps[at] == NOTHING else row.steps[at] + row.turns[at]
                yield _Start(following, before, number, at)


def _later(rows: Sequence[_Row], start: _Start, length: int) -> _Start:
    """The same start with what follows after so many steps."""
    begin = start.at + 1 + length
    return start._replace(following=rows[start.solo].tied[begin : begin + _COMPARED].partition(NOTHING)[0])


def _groups(sorted_texts: Sequence[str], fewest: int) -> Iterator[tuple[int, int, int]]:
    """How much the texts from one to before another begin with in common, `fewest` or more, and no text beside them."""
    open_groups: list[tuple[int, int]] = []
    for at in range(1, len(sorted_texts) + 1):
        common = _common(sorted_texts[at - 1], sorted_texts[at]) if at < len(sorted_texts) else -1
        begin = at - 1
        while open_groups and open_groups[-1][0] > common:
            length, begin = open_groups.pop()
            yield length, begin, at
        if common >= fewest and (not open_groups or open_groups[-1][0] < common):
            open_groups.append((common, begin))


def _common(one: str, other: str) -> int:
    """How many characters two texts begin with alike."""
    for at, (left, right) in enumerate(zip(one, other, strict=False)):
        if left != right:
            return at
    return min(len(one), len(other))


def _also_alike(rows: Sequence[_Row], places: Sequence[tuple[int, int]]) -> int:
    """How many more steps agree from these strokes on, within their phrases."""
    length = 0
    while True:
        pieces = {rows[solo].tied[at + length : at + length + _COMPARED].partition(NOTHING)[0] for solo, at in places}
        low, high = min(pieces), max(pieces)
        length += _common(low, high)
        if len(pieces) > 1 or len(low) < _COMPARED:
            return length


def _apart(starts: Sequence[_Start], length: int) -> list[_Start]:
    """The places in order, without those that overlap the one before in the same solo."""
    kept: list[_Start] = []
    for start in sorted(starts, key=lambda start: (start.solo, start.at)):
        if not kept or kept[-1].solo != start.solo or kept[-1].at + length < start.at:
            kept.append(start)
    return kept


def _steps(solos: Sequence[Searched], start: _Start, length: int) -> tuple[int, ...]:
    cells = solos[start.solo].strokes.steps[start.at + 1 : start.at + 1 + length]
    return tuple(number for cell in cells if (number := cell_number(cell)) is not None)
