"""A stroke at its column: fret figures with what stands right beside them, in pixels around the column."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from tabtools.model.solo import Note
from tabtools.timeline import TimedNote
from tabtools.website.drawing.measures import FIGURE, FRET_SIZE, ORNAMENT_SIZE, STRING_GAP, number, text_width

_SLIDES = "/\\"
_BENDS = frozenset(("b", "r", "pb"))
BEND_REACH = 13


@dataclass(frozen=True, slots=True)
class Figure:
    """One note as it is drawn: `half` is half the width of its figure, `after` where the next thing may stand."""

    svg: str
    y: float
    text: str
    half: float
    left: float
    after: float
    right: float


def string_y(string: int, strings: int) -> float:
    """The height of a string's line; a string the instrument does not have is drawn on the nearest."""
    return (min(max(string, 1), strings) - 1) * STRING_GAP


def fret_text(fret: Fraction | int | None) -> str:
    """A fret as it is written: `7`, `5.5`."""
    return "" if fret is None else f"{float(fret):g}"


def figure_of(timed: TimedNote, strings: int, below: bool = False) -> Figure:
    """The figure of a note with its ornaments, its `?` and its other reading; slurs `below` where it is crowded."""
    note = timed.note
    y = string_y(timed.string, strings)
    text = _text(timed)
    half = text_width(text, FRET_SIZE) / 2
    parts: list[str] = []
    left, after = half, half
    if note.via and note.via in _SLIDES and timed.origin is None:
        parts.append(_stroke(-half - 10, -half - 2, y, note.via))
        left = half + 11
    if any(mark.word == "roll" for mark in timed.marks) and timed.part == 1:
        left = max(left, half + 9)
    after = _ornaments(note, y, after, parts, below)
    right = after + (BEND_REACH * sum(motion.sign in _BENDS for motion in note.motions))
    if note.unsure and note.other is not None and note.other.string == timed.string:
        other = f"({fret_text(note.other.fret)})"
        width = text_width(other, ORNAMENT_SIZE)
        parts.append(_label(after + 1 + width / 2, y, other, "other"))
        after += width + 2
        right = max(right, after)
    elif note.unsure and note.other is not None:
        other = f"({fret_text(note.other.fret)})"
        parts.append(_label(0, string_y(note.other.string, strings), other, "other"))
        left, right = max(left, 9), max(right, 9)
    if text:
        kind = "fret unsure" if note.unsure else "fret moved" if note.only_moves_pitch else "fret"
        parts.append(f'<text class="{kind}" y="{number(y + FIGURE)}">{_escaped(text)}</text>')
    return Figure("".join(parts), y, text, half, left, after, right)


def held_figure(timed: TimedNote, y: float) -> tuple[str, float]:
    """The figure of a note that sounds on from the bar before, in brackets, and half its width."""
    text = fret_text(timed.held) if timed.note.touch is None else _text(timed).rstrip("?")
    return _label(0, y, f"({text})", "held"), text_width(f"({text})", ORNAMENT_SIZE) / 2


def roll_line(top: float, bottom: float, x: float) -> str:
    """The wavy line of a rolled chord."""
    turns = max(2, round((bottom - top + 10) / 6))
    wave = "".join("q-2.5 1.5 0 3t0 3" for _ in range(turns))
    return f'<path class="tt-line" d="M{number(x)} {number(top - 5)}{wave}"/>'


def _text(timed: TimedNote) -> str:
    note = timed.note
    if note.dead:
        text = "×"
    elif note.only_moves_pitch:
        back = note.via == "r" and note.fret is not None and note.fret == timed.held
        return f"({fret_text(note.fret)})" if back else ""
    elif note.touch is not None:
        text = f"{fret_text(note.fret)}<{fret_text(note.touch)}>"
    else:
        text = fret_text(note.fret)
    if any(mark.word == "ghost" for mark in timed.marks):
        text = f"({text})"
    return text + "?" * note.unsure


def _ornaments(note: Note, y: float, after: float, parts: list[str], below: bool) -> float:
    """Moves within the slot, drawn as small figures behind the first; returns where they end."""
    centre = 0.0
    for motion in note.motions:
        if motion.sign in _SLIDES and motion.fret is None:
            parts.append(_stroke(after + 2, after + 11, y, motion.sign))
            after += 12
        elif motion.sign in "hpt/\\" and motion.fret is not None:
            text = fret_text(motion.fret)
            half = text_width(text, ORNAMENT_SIZE) / 2
            gap = 9 if motion.sign in _SLIDES else 4
            x = after + gap + half
            if motion.sign in _SLIDES:
                parts.append(_stroke(after + 1.5, x - half - 1.5, y, motion.sign))
            else:
                parts.append(small_arc(centre, x, y, below))
            parts.append(_label(x, y, text, "ornament"))
            centre, after = x, x + half
    return after


def small_arc(start: float, end: float, y: float, below: bool) -> str:
    """A slur between two figures of one column, tapered towards its ends."""
    side = 1 if below else -1
    base, width = y + 6.5 * side, end - start
    left, right = number(start + width * 0.25), number(end - width * 0.25)
    points = f"C{left} {number(base + 6 * side)} {right} {number(base + 6 * side)}"
    back = f"C{right} {number(base + 4.6 * side)} {left} {number(base + 4.6 * side)}"
    here, there = f"{number(start)} {number(base)}", f"{number(end)} {number(base)}"
    return f'<path class="tt-ink" d="M{here}{points} {there}{back} {here}Z"/>'


def _stroke(start: float, end: float, y: float, sign: str) -> str:
    rise = 3.2 if sign == "/" else -3.2
    return f'<path class="tt-line" d="M{number(start)} {number(y + rise)}L{number(end)} {number(y - rise)}"/>'


def _label(x: float, y: float, text: str, kind: str) -> str:
    at = f' x="{number(x)}"' if x else ""
    return f'<text class="{kind}"{at} y="{number(y + FIGURE - 0.8)}">{_escaped(text)}</text>'


def _escaped(text: str) -> str:
    return text.replace("<", "&lt;").replace(">", "&gt;")
