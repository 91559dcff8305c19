"""Hammer-ons, pull-offs and slides between notes: slurs and strokes, through bar lines where they cross one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from tabtools.engraving.lanes import Skyline, line_between, text_at
from tabtools.engraving.metrics import WORD_SIZE, number, percent, text_width
from tabtools.engraving.scene import Scene
from tabtools.timeline import TimedNote

LETTERS = {"h": "H", "p": "P", "t": "T"}
SLIDES = "/\\"
RISE = 3.4
ARC = 6.0


@dataclass(frozen=True, slots=True)
class Join:
    """A move on one string, between two columns of a bar; None is the edge of the bar.

    It leads from the height `y` to `to_y`, which differ only between names over the strings. Its slur goes `below`
    where a figure stands right above it.
    """

    sign: str
    y: float
    to_y: float
    first: int | None
    last: int | None
    first_half: float
    last_half: float
    below: bool


@dataclass(frozen=True, slots=True)
class Letter:
    """The letter of a move, at a place in pixels."""

    text: str
    x: float


def trace_moves(scenes: Sequence[Scene]) -> tuple[list[list[Join]], list[list[Letter]]]:
    """The moves of each bar, and their letters in order. Bars must have been laid out."""
    joins: list[list[Join]] = [[] for _ in scenes]
    letters: list[list[Letter]] = [[] for _ in scenes]
    homes: dict[int, tuple[int, int, float, float]] = {}
    for place, scene in enumerate(scenes):
        for struck in scene.struck:
            said: set[str] = set()
            for part, (timed, figure) in enumerate(zip(struck.notes, struck.figures, strict=True)):
                below = any(note.string == timed.string - 1 for note in struck.notes)
                homes[struck.first + part] = (place, struck.column, figure.after, figure.y)
                via = timed.note.via
                origin = homes.get(timed.origin) if timed.origin is not None else None
                x = scene.xs[struck.column]
                if origin is not None and via and via in "hp" + SLIDES:
                    _join(scenes, joins, origin, (place, struck.column, figure.left, figure.y), via, below)
                    if origin[0] == place:
                        x = (scene.xs[origin[1]] + x) / 2
                if via in LETTERS and via not in said and not _tied_up(timed):
                    said.add(via)
                    letters[place].append(Letter(LETTERS[via], x))
    return joins, letters


def _tied_up(timed: TimedNote) -> bool:
    return timed.note.only_moves_pitch


def _join(
    scenes: Sequence[Scene],
    joins: list[list[Join]],
    origin: tuple[int, int, float, float],
    target: tuple[int, int, float, float],
    sign: str,
    below: bool,
) -> None:
    (there, first, first_half, y), (here, last, last_half, to_y) = origin, target
    for place in range(there, here + 1):
        joins[place].append(
            Join(
                sign,
                y,
                to_y,
                first if place == there else None,
                last if place == here else None,
                first_half if place == there else 0,
                last_half if place == here else 0,
                below,
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
    """A slur over two figures, tapered towards its ends; half of one where it crosses the bar line."""
    left = scene.staff if join.first is None else scene.xs[join.first]
    right = scene.width if join.last is None else scene.xs[join.last]
    whole = join.first is not None and join.last is not None
    top = min(join.y, join.to_y)
    if not join.below:
        skyline.block(left, right, 7 + ARC - top + (0 if whole else 2))
    base, bow = (join.y + 7, ARC) if join.below else (top - 7, -ARC)
    return slur(scene, left, right, base, bow, join.first is not None, join.last is not None)


def slur(scene: Scene, left: float, right: float, base: float, bow: float, starts: bool, ends: bool) -> str:
    """A tapered arc from `left` to `right`; `bow` is its height, negative upwards.

    Stretched with the bar it only grows longer. An end that lies beyond the bar line is left open.
    """
    size = abs(bow) + 2
    top = base - size if bow < 0 else base
    foot, crest, inner = (size, 0.6, 2.1) if bow < 0 else (0, size - 0.6, size - 2.1)
    feet = (number(foot), number(foot))
    start = f"3 {feet[0]}" if starts else f"0 {number(crest)}"
    end = f"97 {feet[1]}" if ends else f"100 {number(crest)}"
    out = f"C{28 if starts else 30} {number(crest)} {72 if ends else 70} {number(crest)} {end}"
    start_in = start if starts else f"0 {number(inner)}"
    end_in = "" if ends else f"L100 {number(inner)}"
    back = f"C{72 if ends else 70} {number(inner)} {28 if starts else 30} {number(inner)} {start_in}"
    return (
        f'<svg x="{scene.at(left)}" y="{number(top)}" width="{percent((right - left) / scene.width)}" '
        f'height="{number(size)}" viewBox="0 0 100 {number(size)}" preserveAspectRatio="none">'
        f'<path class="tt-ink" d="M{start}{out}{end_in}{back}Z"/></svg>'
    )


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
