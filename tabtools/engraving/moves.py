"""Hammer-ons, pull-offs and slides between notes: slurs and strokes, through bar lines where they cross one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

from tabtools.engraving.arcs import arc, lefts_of
from tabtools.engraving.lanes import Skyline, line_between, text_at
from tabtools.engraving.metrics import WORD_SIZE, text_width
from tabtools.engraving.scene import Scene
from tabtools.timeline import TimedNote

LETTERS = {"h": "H", "p": "P", "t": "T"}
LETTER_HALF = 5.0
FROM_NUMBER = 12.0
"""Between a letter and the bar line behind it, over which a number may stand."""
SLIDES = "/\\"
RISE = 3.4
ARC, BOW = 6.0, 7.4
"""How high a slur rises over its ends, and how high the points stand that draw it up."""


@dataclass(frozen=True, slots=True)
class Join:
    """A move on one string, between two columns of a bar; None is the edge of the bar.

    It leads from the height `y` to `to_y`, which differ only between names over the strings. Its slur goes `below`
    where a figure stands right above it, from `start` to `end` in pixels of the bar, beyond its edges if need be.
    """

    sign: str
    y: float
    to_y: float
    first: int | None
    last: int | None
    first_half: float
    last_half: float
    below: bool
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Letter:
    """The letter of a move, at a place in pixels."""

    text: str
    x: float


class _Figured(NamedTuple):
    """A figure in its bar: its column, its height, where a slide may meet it at the right and at the left.

    A slur begins over its middle, and ends `entry` left of that.
    """

    place: int
    column: int
    y: float
    after: float
    left: float
    entry: float


def trace_moves(scenes: Sequence[Scene]) -> tuple[list[list[Join]], list[list[Letter]]]:
    """The moves of each bar, and their letters in order. Bars must have been laid out."""
    joins: list[list[Join]] = [[] for _ in scenes]
    letters: list[list[Letter]] = [[] for _ in scenes]
    homes: dict[int, _Figured] = {}
    lefts = lefts_of(scenes)
    for place, scene in enumerate(scenes):
        for struck in scene.struck:
            said: set[str] = set()
            for part, (timed, figure) in enumerate(zip(struck.notes, struck.figures, strict=True)):
                below = any(note.string == timed.string - 1 for note in struck.notes)
                own = _Figured(place, struck.column, figure.y, figure.after, figure.left, figure.entry)
                homes[struck.first + part] = own
                via = timed.note.via
                origin = homes.get(timed.origin) if timed.origin is not None else None
                x = scene.xs[struck.column] - figure.entry
                home = place
                if origin is not None and via and via in "hp" + SLIDES:
                    _join(scenes, lefts, joins, origin, own, via, below)
                    start = scenes[origin.place].xs[origin.column] + lefts[origin.place]
                    home, x = _between(scenes, lefts, start, x + lefts[place])
                if via in LETTERS and via not in said and not _tied_up(timed):
                    said.add(via)
                    letters[home].append(Letter(LETTERS[via], x))
    return joins, letters


def _between(scenes: Sequence[Scene], lefts: Sequence[float], start: float, end: float) -> tuple[int, float]:
    """The bar that has the middle of two places, and where a letter stands there, away from the number of the next."""
    middle = (start + end) / 2
    place = max(at for at, left in enumerate(lefts) if left + scenes[at].staff <= middle or not at)
    scene = scenes[place]
    last = scene.width - LETTER_HALF
    if place + 1 < len(scenes) and scenes[place + 1].opens and middle > lefts[place] + last - FROM_NUMBER:
        last = max(last - FROM_NUMBER, min(start - lefts[place], last))
    return place, min(max(middle - lefts[place], scene.staff + LETTER_HALF), last)


def _tied_up(timed: TimedNote) -> bool:
    return timed.note.only_moves_pitch


def _join(
    scenes: Sequence[Scene],
    lefts: Sequence[float],
    joins: list[list[Join]],
    origin: _Figured,
    target: _Figured,
    sign: str,
    below: bool,
) -> None:
    start = scenes[origin.place].xs[origin.column] + lefts[origin.place]
    end = scenes[target.place].xs[target.column] - target.entry + lefts[target.place]
    for place in range(origin.place, target.place + 1):
        starts, ends = place == origin.place, place == target.place
        joins[place].append(
            Join(
                sign,
                origin.y,
                target.y,
                origin.column if starts else None,
                target.column if ends else None,
                origin.after if starts else 0,
                target.left if ends else 0,
                below,
                start - lefts[place],
                end - lefts[place],
            )
        )


def draw_joins(scene: Scene, joins: Sequence[Join], skyline: Skyline) -> str:
    """Slurs and slide strokes, which lie below the figures."""
    return "".join(_slide(scene, join) if join.sign in SLIDES else _slur(scene, join, skyline) for join in joins)


def _slide(scene: Scene, join: Join) -> str:
    """A stroke that rises or falls from figure to figure; through a bar line it goes at half its height."""
    start = (None, scene.staff) if join.first is None else (join.first, scene.xs[join.first] + join.first_half + 2)
    end = (None, scene.width) if join.last is None else (join.last, scene.xs[join.last] - join.last_half - 2)
    rise = (RISE if join.sign == "/" else -RISE) if join.y == join.to_y else 0
    middle = (join.y + join.to_y) / 2
    start_y = join.y + rise if join.first is not None else middle
    end_y = join.to_y - rise if join.last is not None else middle
    return line_between(scene, start, end, start_y, end_y, "tt-line")


def _slur(scene: Scene, join: Join, skyline: Skyline) -> str:
    """A slur over two figures; over their edge where both stand in different bars."""
    left, right = max(join.start, scene.staff), min(join.end, scene.width)
    top = min(join.y, join.to_y)
    if not join.below:
        skyline.block(left, right, 7 + ARC - top)
    base, bow = (join.y + 7, BOW) if join.below else (top - 7, -BOW)
    return arc(scene, (join.start, base), (join.end, base), bow)


def draw_letters(scene: Scene, letters: Sequence[Letter], skyline: Skyline) -> str:
    """H, P and T above the staff."""
    drawn = []
    for letter in letters:
        half = text_width(letter.text, WORD_SIZE) / 2
        draw = partial(_letter, scene, letter)
        drawn.append(skyline.place(letter.x - half, letter.x + half, 10, draw))
    return "".join(drawn)


def _letter(scene: Scene, letter: Letter, foot: float) -> str:
    return text_at(scene.at(letter.x), foot, letter.text, "letter")
