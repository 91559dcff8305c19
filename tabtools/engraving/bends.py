"""Bends, releases and pre-bends: curves that rise above the staff, with the interval reached in steps.

How high a curve rises tells how far the string is bent. A bend held on, even over a bar line, is a dashed line
from its top to where it is released.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from tabtools.engraving.glyphs import use
from tabtools.engraving.lanes import Skyline, line_between, text_at
from tabtools.engraving.metrics import WORD_SIZE, number, text_width
from tabtools.engraving.scene import DrawnStroke, Scene
from tabtools.engraving.strokes import BEND_REACH, BESIDE, Figure, highest_bend, interval_name, stations_of
from tabtools.model.solo import Fret
from tabtools.timeline import TimedNote

LOWEST, STEP = 12.0, 4.5
LONGEST_RISE = 44
LABEL = 11
ARROW, BESIDE_TOP = 4.0, 12.0
"""From the top of a bend to a label at its right."""
NO_BEND: Fret = 0


@dataclass(frozen=True, slots=True)
class Pull:
    """A stretch of a bend: from (x, y) to (x, y), in pixels; `kind` is `curve`, `straight` or `hold`.

    A hold reaches from column `since` to `column`; None is the edge of the bar. The label stands `beside` its top,
    where another bend of the stroke may be held over it.
    """

    kind: str
    column: int | None
    start: float
    start_y: float
    end: float
    end_y: float
    label: str = ""
    since: int | None = None
    beside: bool = False


@dataclass(frozen=True, slots=True)
class _BentString:
    """Where a bend stands after a note: scene, place there, how far the string is bent in semitones."""

    scene: int
    column: int
    x: float
    y: float
    level: Fret


def level_y(semitones: Fret, roof: float) -> float:
    """The height of a bend's top, over what stands highest in its stroke."""
    return roof - (LOWEST + STEP * min(float(semitones), 5.0))


def trace_bends(scenes: Sequence[Scene]) -> list[list[Pull]]:
    """The bends of each bar. Bars must have been laid out."""
    pulls: list[list[Pull]] = [[] for _ in scenes]
    ends: dict[int, _BentString] = {}
    for place, scene in enumerate(scenes):
        for struck in scene.struck:
            shifts: dict[Fret, float] = {}
            parts = list(enumerate(zip(struck.notes, struck.figures, strict=True)))
            for part, (timed, figure) in sorted(parts, key=lambda one: one[1][1].y):
                if timed.note.dead:
                    continue
                if timed.note.only_moves_pitch:
                    _slot(scenes, pulls, ends, place, struck, part, timed, figure)
                elif level := highest_bend(timed):
                    shift = shifts.setdefault(level, BESIDE * len(shifts))
                    beside = level < max(shifts)
                    _within(scene, pulls[place], ends, place, struck, part, timed, figure, shift, beside)
    return pulls


def _within(
    scene: Scene,
    pulls: list[Pull],
    ends: dict[int, _BentString],
    place: int,
    struck: DrawnStroke,
    part: int,
    timed: TimedNote,
    figure: Figure,
    shift: float,
    beside: bool,
) -> None:
    """The bends that a note makes within its own slot."""
    x = scene.xs[struck.column]
    start, at, y = x + struck.after + 1, x + struck.after + 1 + shift, figure.y
    (base, goals), level = stations_of(timed), NO_BEND
    for motion, goal in goals:
        if motion.sign in "hpt/\\":
            base, level = goal, NO_BEND
        elif motion.sign in ("b", "r", "pb") and base is not None:
            reached = goal - base
            top = level_y(reached, struck.roof) if reached > 0 else figure.y - 7
            from_y = level_y(level, struck.roof) if level > 0 else y
            label = interval_name(reached) if reached > level else ""
            if motion.sign == "pb":
                pulls.append(Pull("straight", struck.column, x, y - 7, x, top, label))
                start = at = x
            else:
                end = at + BEND_REACH - 2
                pulls.append(Pull("curve", struck.column, start, from_y, end, top, label, beside=beside))
                start = at = end
            level = reached
    if level:
        ends[struck.first + part] = _BentString(place, struck.column, at, level_y(level, struck.roof), level)


def _slot(
    scenes: Sequence[Scene],
    pulls: list[list[Pull]],
    ends: dict[int, _BentString],
    place: int,
    struck: DrawnStroke,
    part: int,
    timed: TimedNote,
    figure: Figure,
) -> None:
    """A slot that bends or releases a string that sounds on."""
    scene, note = scenes[place], timed.note
    if note.via not in "br" or timed.origin is None:
        return
    before = ends.get(timed.origin)
    level = before.level if before else NO_BEND
    reached = _reached(timed, level)
    if reached is None:
        return
    x = scene.xs[struck.column]
    rises = reached > level
    if before is not None:
        _hold(scenes, pulls, before, place, struck.column, x - (10 if rises else 12))
    if rises:
        start = x - 10 if before else _rise_from(scene, timed.origin, x)
        from_y = before.y if before else figure.y
        top = level_y(reached, struck.roof)
        pulls[place].append(Pull("curve", struck.column, start, from_y, x, top, interval_name(reached)))
    elif before is not None and reached < level:
        to_y = level_y(reached, struck.roof) if reached > 0 else figure.y - 7.5
        pulls[place].append(Pull("curve", struck.column, x - 12, before.y, x, to_y))
    if reached > 0:
        ends[struck.first + part] = _BentString(place, struck.column, x, level_y(reached, struck.roof), reached)


def _reached(timed: TimedNote, level: Fret) -> Fret | None:
    """How far a string is bent by a slot that bends or releases it, from where it stood at `level` before."""
    if timed.note.pitch is not None and len(timed.path) > 1:
        return Fraction(timed.path[1] - timed.path[0]) + level
    if timed.note.fret is None or timed.held is None:
        return None
    return timed.note.fret - timed.held


def _rise_from(scene: Scene, origin: int, x: float) -> float:
    for one in scene.struck:
        if one.first <= origin < one.first + len(one.notes):
            return max(scene.xs[one.column] + one.after + 1, x - LONGEST_RISE)
    return max(scene.staff + 2, x - LONGEST_RISE)


def _hold(
    scenes: Sequence[Scene], pulls: list[list[Pull]], bent: _BentString, place: int, column: int, x: float
) -> None:
    """The dashed line from where a bend stands to `x` at a column of the bar `place`, through the bars between."""
    y = bent.y
    for one in range(bent.scene, place + 1):
        scene = scenes[one]
        since, start = (bent.column, bent.x) if one == bent.scene else (None, scene.staff)
        until, end = (column, x) if one == place else (None, scene.width)
        if end > start:
            pulls[one].append(Pull("hold", until, start, y, end, y, since=since))


def draw_bends(scene: Scene, pulls: Sequence[Pull], skyline: Skyline) -> tuple[str, str]:
    """The curves, which lie below the figures, and the labels, which lie above all."""
    lines: list[str] = []
    labels: list[str] = []
    seen: set[tuple[int, str]] = set()
    for pull in pulls:
        top = -min(pull.start_y, pull.end_y)
        left, right = sorted((pull.start, pull.end))
        if pull.kind == "hold" or pull.column is None:
            skyline.block(left - 3, right + 4, top + 1)
            here, there = (pull.since, pull.start), (pull.column, pull.end)
            lines.append(line_between(scene, here, there, pull.start_y, pull.end_y, "dashed"))
            continue
        skyline.block(left - 3 * (pull.kind == "straight"), right + 4, top + 1)
        lines.append(_curve(scene, pull, pull.column))
        if pull.label and (round(pull.end), pull.label) not in seen:
            seen.add((round(pull.end), pull.label))
            half = text_width(pull.label, WORD_SIZE) / 2 + 1
            labels.append(_label(scene, pull, pull.column))
            if pull.beside:
                continue
            skyline.block(pull.end - half, pull.end + half, top + LABEL + 2)
    return "".join(lines), "".join(labels)


def _label(scene: Scene, pull: Pull, column: int) -> str:
    x = pull.end - scene.xs[column]
    if pull.beside:
        return text_at(scene.cells[column], pull.end_y + BESIDE_TOP, pull.label, "step from", x + ARROW)
    return text_at(scene.cells[column], pull.end_y - 3.5, pull.label, "step", x)


def _curve(scene: Scene, pull: Pull, column: int) -> str:
    """A curve that leaves level and arrives upright, with its arrowhead, in pixels around its column."""
    x = scene.xs[column]
    start, end = number(pull.start - x), number(pull.end - x)
    up = pull.end_y < pull.start_y
    foot = pull.end_y + (5 if up else -5)
    if pull.kind == "straight":
        path = f"M{start} {number(pull.start_y)}V{number(foot)}"
    else:
        path = f"M{start} {number(pull.start_y)}Q{end} {number(pull.start_y)} {end} {number(foot)}"
    arrow = use("arrow-up" if up else "arrow-down", end, pull.end_y)
    return f'<svg x="{scene.cells[column]}"><path class="tt-line" d="{path}"/>{arrow}</svg>'
