"""What the vibrato bar does to the pitch: lines that fall and rise over the strings, and how far in steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import partial
from itertools import pairwise

from tabtools.engraving.lanes import Skyline, Standing, on_one_line
from tabtools.engraving.metrics import WORD_SIZE, number, text_width
from tabtools.engraving.scene import DrawnStroke, Scene
from tabtools.engraving.strokes import interval_name
from tabtools.timeline import TimedNote

DIP_LEFT, DIP_GAP = -4.0, 4.0
DIP_SCALE = 2.2
"""Pixels for a semitone."""


def dip_reaches(struck: DrawnStroke) -> Iterator[float]:
    """How far each dip of a stroke reaches to the right of its column."""
    for timed in struck.notes:
        if dipped := _dipped(timed):
            yield DIP_LEFT + _dip_width(*dipped[1:])


def _uses_bar(timed: TimedNote) -> bool:
    return timed.note.via == "w" or any(motion.sign == "w" for motion in timed.motions)


def _dipped(timed: TimedNote) -> tuple[list[Fraction], float, str] | None:
    """Where the vibrato bar takes a note, in semitones; how long the line is that shows it; what stands beside it.

    Where it only comes back, the line tells it.
    """
    if not _uses_bar(timed):
        return None
    levels = _levels(timed)
    if len(levels) < 2:
        return None
    farthest = max(levels[1:], key=abs)
    return levels, 8.0 * (len(levels) - 1), f"bar {_dip(farthest)}" if farthest else ""


def _levels(timed: TimedNote) -> list[Fraction]:
    """Where the vibrato bar takes a note, in semitones from where it stands."""
    note = timed.note
    levels = [Fraction(0)]
    if timed.held is None or (note.via == "w" and note.pitch is not None):
        return levels + [Fraction(midi - timed.path[0]) for midi in timed.path[1:]]
    if note.via == "w" and note.fret is not None and timed.attack is not None and timed.path:
        levels = [Fraction(round((timed.path[0] - timed.path[-1]) * 2), 2) + note.fret - timed.held]
        levels.append(Fraction(note.fret) - timed.held)
    levels += [Fraction(one.fret) - timed.held for one in timed.motions if one.sign == "w" and one.fret is not None]
    return levels


def _dip_width(line: float, text: str) -> float:
    return line + (DIP_GAP + text_width(text, WORD_SIZE) if text else 0.0)


def dip_rooms(scene: Scene) -> Iterator[tuple[int, float]]:
    """The columns of dips that another one follows, and how far they reach to the right: all stand on one line."""
    for struck, following in pairwise(scene.struck):
        own = list(dip_reaches(struck))
        if own and any(map(_dipped, following.notes)):
            yield struck.column, max(own) - DIP_LEFT


def draw_dips(pieces: Sequence[Scene], skylines: Sequence[Skyline]) -> list[str]:
    """What the vibrato bar does to the pitch, for each piece of a bar, all on one line.

    Each is a line that falls and rises, and how far in steps.
    """
    row: list[tuple[int, Standing]] = []
    size = 10.0
    for place, (scene, skyline) in enumerate(zip(pieces, skylines, strict=True)):
        for struck in scene.struck:
            for levels, line, text in filter(None, map(_dipped, struck.notes)):
                start = scene.xs[struck.column] + DIP_LEFT
                size = max(size, _depth(levels) + 2)
                draw = partial(_dip_drawn, scene, start, levels, line, text)
                row.append((place, Standing(skyline, start, start + _dip_width(line, text), draw)))
    drawn = [""] * len(pieces)
    for (place, _), svg in zip(row, on_one_line([one for _, one in row], size), strict=True):
        drawn[place] += svg
    return drawn


def _depth(levels: Sequence[Fraction]) -> float:
    return float(max(*levels, Fraction(0)) - min(levels)) * DIP_SCALE


def _dip_drawn(scene: Scene, start: float, levels: Sequence[Fraction], line: float, text: str, foot: float) -> str:
    drop = max(*levels, Fraction(0))
    points = [f"{8 * place} {number(float(drop - level) * DIP_SCALE)}" for place, level in enumerate(levels)]
    shape = (
        f'<path class="tt-line" transform="translate(0 {number(foot - _depth(levels) - 1)})" d="M{"L".join(points)}"/>'
    )
    words = f'<text class="word from" x="{number(line + DIP_GAP)}" y="{number(foot)}">{text}</text>' if text else ""
    return f'<svg x="{scene.at(start)}">{shape}{words}</svg>'


def _dip(semitones: Fraction) -> str:
    if not semitones:
        return "0"
    steps = "1" if abs(semitones) == 2 else interval_name(semitones)
    return ("−" if semitones < 0 else "+") + steps
