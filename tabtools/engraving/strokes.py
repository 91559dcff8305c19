"""A stroke at its column: fret figures with what stands right beside them, in pixels around the column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from tabtools.engraving.metrics import (
    COLUMN_GAP,
    FIGURE,
    FRET_SIZE,
    ORNAMENT_SIZE,
    STRING_GAP,
    WORD_SIZE,
    number,
    printed,
    text_width,
)
from tabtools.engraving.open_notes import (
    UNHEARD_HALF,
    UNHEARD_SIGN,
    framed,
    framed_half,
    name_held,
    name_of,
    over_strings,
    stalk,
    unheard_sign,
)
from tabtools.model.solo import Fret, Heard, Motion, Note, Place
from tabtools.timeline import TimedNote

_SLIDES = "/\\"
_COMES_FROM_FAR = frozenset("/\\brw")
BENDING = frozenset(("b", "r", "pb", "w"))
BEND_REACH = 13
SLIDE_GAP, SLUR_GAP = 9.0, 4.0
"""Between a figure and a small one beside it, with a stroke between them or an arc over them."""
ROLL = 10.0
"""What the wavy line of a rolled chord takes at its left."""
NOT_BENT = Fraction(0)
BESIDE = 24.0
"""How far apart the labels of two different bends in one stroke stand."""
_QUARTERS = ("", "¼", "½", "¾")


@dataclass(frozen=True, slots=True)
class Figure:
    """One note as it is drawn: `half` is half the width of its figure, `after` where the next thing may stand.

    `entry` is how far left of its column it begins: where the first of its grace notes stands.
    """

    svg: str
    y: float
    text: str
    half: float
    left: float
    after: float
    right: float
    entry: float = 0.0


class _Graces(NamedTuple):
    """What stands small before a figure: how far left it reaches, and where the middle of the first one is."""

    svg: str
    left: float
    entry: float


class HeldFigure(NamedTuple):
    """A note tied into a bar as it is drawn: half its width, its height."""

    svg: str
    half: float
    y: float


def string_y(string: int, strings: int) -> float:
    """The height of a string's line; a string the instrument does not have is drawn on the nearest."""
    return (min(max(string, 1), strings) - 1) * STRING_GAP


def fret_text(fret: Fraction | int | None) -> str:
    """A fret as it is written: `7`, `5.5`."""
    return "" if fret is None else f"{float(fret):g}"


def figures_of(notes: Sequence[TimedNote], strings: int, heights: Mapping[int, float]) -> tuple[Figure, ...]:
    """The figures of a stroke; `heights` are those of notes on no string line, by index.

    Slurs lie below a figure that has another right above it.
    """
    above = {note.string + 1 for note in notes}
    figures = [
        _figure(note, heights.get(note.index, string_y(note.string, strings)), note.string in above) for note in notes
    ]
    names = [place for place in over_strings(notes, heights) if figures[place].text]
    if names:
        lowest = max(names, key=lambda place: figures[place].y)
        below = [figure.y for figure in figures if figure.y >= 0]
        figures[lowest] = replace(figures[lowest], svg=stalk(figures[lowest].y, below) + figures[lowest].svg)
    if len(notes) > 1 and is_rolled(notes):
        reach = max(figure.left for figure in figures) + ROLL
        figures = [replace(figure, left=reach) for figure in figures]
    if any(note.note.others for note in notes):
        taken = {figure.y: figure.after for figure in figures}
        for place, timed in enumerate(notes):
            for other in timed.note.others:
                figures[place] = _with_other(figures[place], other, strings, taken)
    levels = set(filter(None, map(highest_bend, notes)))
    if levels and len(figures) > 1:
        room = max(figure.after for figure in figures) + BESIDE * (len(levels) - 1)
        figures = [replace(figure, right=room + figure.right - figure.after) for figure in figures]
    return tuple(figures)


def is_rolled(notes: Sequence[TimedNote]) -> bool:
    """Whether the notes of a stroke are struck one after the other; the mark may stand with any of them."""
    return any(mark.word == "roll" for note in notes for mark in note.marks)


def _figure(timed: TimedNote, y: float, below: bool) -> Figure:
    """The figure of a note with its ornaments and its `?`."""
    note = timed.note
    if _is_plain(timed):
        return _plain(_text(timed), y)
    moves = grace_moves(note)
    text = _text(timed, moves[-1] if moves else None)
    is_framed = note.is_open and not note.only_moves_pitch
    half = framed_half(text) if is_framed else text_width(text, FRET_SIZE) / 2
    graces = _graces(note, moves, half, y, below)
    parts, left = [graces.svg], graces.left
    if note.via and note.via in _SLIDES and timed.origin is None:
        parts.append(_stroke(-left - 10, -left - 2, y, note.via))
        left += 11
    elif is_framed and note.via and note.via in _SLIDES:
        left += 6
    after = _ornaments(note, moves, y, half, parts, below) if note.motions else half
    right = after
    reach = _bend_reach(timed)
    if reach is not None:
        left, right = max(left, reach[0]), after + reach[1]
    if note.unheard:
        left = right = UNHEARD_HALF + COLUMN_GAP
        parts.append(unheard_sign(y))
    elif is_framed:
        parts.append(framed(text, y, note.unsure, is_round=note.unknown and not timed.string))
    elif text:
        kind = "fret unsure" if note.unsure else "fret moved" if note.only_moves_pitch else "fret"
        parts.append(f'<text class="{kind}" y="{number(y + FIGURE)}">{printed(text)}</text>')
    return Figure("".join(parts), y, text, half, left, after, right, graces.entry)


def _is_plain(timed: TimedNote) -> bool:
    note = timed.note
    return not (note.motions or note.unsure or note.is_open or timed.marks or note.via in _COMES_FROM_FAR)


@lru_cache(maxsize=512)
def _plain(text: str, y: float) -> Figure:
    """A figure with nothing beside it."""
    half = text_width(text, FRET_SIZE) / 2
    svg = f'<text class="fret" y="{number(y + FIGURE)}">{printed(text)}</text>'
    return Figure(svg, y, text, half, half, half, half)


def _bend_reach(timed: TimedNote) -> tuple[float, float] | None:
    """The room that bends and their labels take left of the column and right of the figures."""
    note = timed.note
    if note.only_moves_pitch:
        if note.via == "b" and note.pitch is not None:
            half = max(_label_half(Fraction(abs(midi - timed.path[0]))) for midi in timed.path)
            return max(half, _FULL_HALF), max(half, _FULL_HALF)
        if note.via == "b" and timed.held is not None and note.fret is not None:
            half = _label_half(note.fret - timed.held)
            return half, half
        return (12.0, 0.0) if note.via == "r" else None
    reach, left, levels = 0.0, 0.0, []
    base, goals = stations_of(timed)
    for motion, goal in goals:
        if base is None:
            continue
        if motion.sign == "pb":
            left = _label_half(goal - base)
            reach = max(reach, left)
        elif motion.sign in ("b", "r"):
            reach += BEND_REACH
        elif motion.sign in "hpt/\\":
            base = goal
        if motion.sign in ("b", "pb") or (motion.sign == "r" and goal > base):
            levels.append(_label_half(goal - base))
    return (left, reach + max(levels, default=0.0)) if reach or left else None


_FULL_HALF = text_width("full", WORD_SIZE) / 2 + 1


def _label_half(semitones: Fraction | int) -> float:
    return text_width(interval_name(semitones), WORD_SIZE) / 2 + 1


def _with_other(figure: Figure, other: Place | Heard, strings: int, taken: dict[float, float]) -> Figure:
    """The figure with the note's other reading on its string, beside whatever stands there already."""
    if isinstance(other, Heard):
        y, text = figure.y, f"or {name_of(other)}"
    else:
        y, text = string_y(other.string, strings), f"or {fret_text(other.fret)}"
    half = text_width(text, ORNAMENT_SIZE) / 2
    x = taken[y] + 3 + half if y in taken else 0.0
    taken[y] = x + half
    own = y == figure.y
    return replace(
        figure,
        svg=figure.svg + _label(x, y, text, "other"),
        left=max(figure.left, half - x),
        after=x + half if own else figure.after,
        right=figure.right + x + half - figure.after if own else max(figure.right, x + half),
    )


def highest_bend(timed: TimedNote) -> Fraction:
    """How far, in semitones, a note is bent at most within its own slot; 0 where it is not."""
    if not timed.motions:
        return NOT_BENT
    highest = NOT_BENT
    base, goals = stations_of(timed)
    for motion, goal in goals:
        if base is None:
            continue
        if motion.sign in "hpt/\\":
            base = goal
        elif motion.sign in ("b", "pb", "r"):
            highest = max(highest, Fraction(goal - base))
    return highest


def stations_of(timed: TimedNote) -> tuple[Fret | None, list[tuple[Motion, Fret]]]:
    """Where a note starts and where its motions take it: frets where they are known, else the MIDI numbers written."""
    pitch = timed.note.pitch
    if timed.fret is None and pitch is not None:
        return pitch.midi, [(one, one.pitch.midi) for one in timed.motions if one.pitch is not None]
    return timed.fret, [(one, one.fret) for one in timed.motions if one.fret is not None]


def interval_name(semitones: Fraction | int) -> str:
    """How far a string is bent, in whole steps as the trade counts them: `½`, `full`, `1½`, `2`."""
    quarters = round(float(abs(semitones)) * 2)
    whole, part = divmod(quarters, 4)
    return "full" if quarters == 4 else f"{whole or ''}{_QUARTERS[part]}"


def held_figure(timed: TimedNote, y: float) -> HeldFigure:
    """The figure of a note that sounds on from the bar before, in brackets."""
    text = fret_text(timed.held) if timed.note.touch is None else _text(timed).rstrip("?")
    text = name_held(timed.note) or text
    return HeldFigure(_label(0, y, f"({text})", "held"), text_width(f"({text})", ORNAMENT_SIZE) / 2, y)


def roll_line(top: float, bottom: float, x: float) -> str:
    """The wavy line of a rolled chord."""
    turns = max(2, round((bottom - top + 10) / 6))
    wave = "".join("q-2.5 1.5 0 3t0 3" for _ in range(turns))
    return f'<path class="tt-line" d="M{number(x)} {number(top - 5)}{wave}"/>'


def _text(timed: TimedNote, goal: Motion | None = None) -> str:
    """The figure of a note, or of the goal that its grace notes lead to."""
    note = timed.note
    text = _arrived(goal) if goal is not None else _struck_text(timed)
    if any(mark.word == "ghost" for mark in timed.marks) and not (note.unheard or note.unknown):
        text = f"({text})"
    return text + "?" * (note.unsure and not (note.unheard or note.unknown))


def _struck_text(timed: TimedNote) -> str:
    note = timed.note
    if note.unheard:
        return UNHEARD_SIGN
    if note.unknown:
        return "?"
    if note.dead:
        return "×"
    if note.only_moves_pitch and note.pitch is not None:
        return f"({name_of(note.pitch)})" if note.via == "r" else ""
    if note.pitch is not None:
        return name_of(note.pitch)
    if note.only_moves_pitch:
        back = note.via == "r" and note.fret is not None and note.fret == timed.held
        return f"({fret_text(note.fret)})" if back else ""
    if note.touch is not None:
        return f"{fret_text(note.fret)}<{fret_text(note.touch)}>"
    return fret_text(note.fret)


def _arrived(motion: Motion) -> str:
    return name_of(motion.pitch) if motion.pitch else fret_text(motion.fret)


def grace_moves(note: Note) -> list[Motion]:
    """The moves that lead from place to place before the note stands where it stays: all places before are graces.

    Where it is bent before the last of them it is a note of its own, and what follows is its ornament.
    """
    moves = [place for place, motion in enumerate(note.motions) if _leads_on(motion)]
    if not moves or note.unknown or note.dead or note.only_moves_pitch:
        return []
    before = note.motions[: moves[-1]]
    return [] if any(motion.sign in BENDING for motion in before) else [note.motions[place] for place in moves]


def _leads_on(motion: Motion) -> bool:
    return motion.sign in "hpt/\\" and motion.arrives


def _graces(note: Note, moves: Sequence[Motion], half: float, y: float, below: bool) -> _Graces:
    """The small figures before the one that a note comes to, each joined with the next by an arc or a stroke."""
    if not moves:
        return _Graces("", half, 0.0)
    first = name_of(note.pitch) if note.pitch is not None else fret_text(note.fret)
    if note.touch is not None:
        first += f"<{fret_text(note.touch)}>"
    texts = [first, *map(_arrived, moves[:-1])]
    parts: list[str] = []
    edge, centre = -half, 0.0
    for text, move in zip(reversed(texts), reversed(moves), strict=True):
        wide = text_width(text, ORNAMENT_SIZE) / 2
        x = edge - (SLIDE_GAP if move.sign in _SLIDES else SLUR_GAP) - wide
        if move.sign in _SLIDES:
            parts.append(_stroke(x + wide + 1.5, edge - 1.5, y, move.sign))
        else:
            parts.append(small_arc(x, centre, y, below))
        parts.append(_label(x, y, text, "ornament"))
        edge, centre = x - wide, x
    return _Graces("".join(parts), -edge, -centre)


def _ornaments(note: Note, graces: Sequence[Motion], y: float, after: float, parts: list[str], below: bool) -> float:
    """What a note does behind its figure within its slot; returns where that ends."""
    centre = 0.0
    for motion in note.motions:
        if motion.sign in _SLIDES and not motion.arrives:
            parts.append(_stroke(after + 2, after + 11, y, motion.sign))
            after += 12
        elif _leads_on(motion) and not graces:
            text = _arrived(motion)
            half = text_width(text, ORNAMENT_SIZE) / 2
            x = after + (SLIDE_GAP if motion.sign in _SLIDES else SLUR_GAP) + half
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
    return f'<text class="{kind}"{at} y="{number(y + FIGURE - 0.8)}">{printed(text)}</text>'
