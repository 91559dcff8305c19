"""Rhythm under the staff: stems, beams, flags, dots, ties and tuplets; rests within the staff."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from tabtools.engraving.arcs import arc, lefts_of
from tabtools.engraving.glyphs import use
from tabtools.engraving.marks import is_trembling
from tabtools.engraving.metrics import (
    BEAM,
    BEAM_STEP,
    STEM_BOTTOM,
    STEM_TOP,
    STRING_GAP,
    TUPLET_ROW,
    number,
)
from tabtools.engraving.scene import Scene
from tabtools.score import Tuplet, WrittenEvent
from tabtools.score.records import BACKWARD, BEGIN, END, FORWARD, has_beam_of_its_own

STUB = 7
WHOLE, HALF, QUARTER = 0, 1, 2
DOT, DOT_BESIDE_TREMOLO = 4.5, 8.5
TIE_BOW = 6.4
TIE_DROP, NAME_DROP = 4.0, 9.0
"""From a string down to the ties of its notes, and from a name over the strings."""
OUT_OF_TIME = 20.0
"""How far from a bar a tie begins that comes out of one without values."""


class HangingTie(NamedTuple):
    """From a value to one that it is tied to, in pixels of a bar, beyond its edges where one stands in another.

    It hangs under the lowest of the notes that sound on, `y`.
    """

    start: float
    end: float
    y: float


def draw_rhythm(scene: Scene, ties: Sequence[HangingTie]) -> str:
    """Everything that tells how long things last."""
    base = (scene.strings - 1) * STRING_GAP
    parts = [_rest(scene, one, base) if one.is_rest else _value(scene, one, base) for one in scene.events]
    parts.append(_beams(scene, base))
    parts.append(_ties(scene, ties))
    stretches = _tuplets(scene)
    levels = _levels(stretches)
    for tuplet, events in stretches.items():
        parts.append(_tuplet(scene, tuplet, events, base + STEM_BOTTOM + 4 + TUPLET_ROW * levels[tuplet]))
    return "".join(parts)


def tuplet_rows(scene: Scene) -> int:
    """How many rows of tuplet figures stand under the beams."""
    return max(_levels(_tuplets(scene)).values(), default=-1) + 1


def _tuplets(scene: Scene) -> dict[Tuplet, list[WrittenEvent]]:
    """The tuplets with what stands in them."""
    found: dict[Tuplet, list[WrittenEvent]] = {}
    for event in scene.events:
        for tuplet in event.tuplets:
            found.setdefault(tuplet, []).append(event)
    return found


def _levels(stretches: dict[Tuplet, list[WrittenEvent]]) -> dict[Tuplet, int]:
    """Inner tuplets stand nearest to the notes."""
    return {
        tuplet: max(len(event.tuplets) - 1 - tuplet.depth for event in events) for tuplet, events in stretches.items()
    }


def _x(scene: Scene, event: WrittenEvent) -> float:
    return scene.xs[scene.columns[event.moment]]


def _rest(scene: Scene, event: WrittenEvent, base: float) -> str:
    middle = base / 2
    if event.doubtful:
        return use("rest-doubtful", scene.at(_x(scene, event)), middle, "rest")
    if event.fills_bar:
        return use("rest0", scene.at((scene.staff + scene.width) / 2), middle, "rest")
    x = _x(scene, event)
    value = max(event.halvings, WHOLE)
    dot = f'<circle class="tt-ink" cx="8" cy="{number(middle - 3)}" r="1.5"/>' * event.dots
    return f'<svg x="{scene.at(x)}">{use(f"rest{value}", "", middle, "rest")}{dot}</svg>'


def _stem(scene: Scene, event: WrittenEvent, base: float) -> str:
    if event.halvings <= WHOLE:
        return ""
    top = base + (STEM_TOP if event.halvings != HALF else (STEM_TOP + STEM_BOTTOM) / 2)
    x = scene.at(_x(scene, event))
    return f'<line class="stem" x1="{x}" x2="{x}" y1="{number(top)}" y2="{number(base + STEM_BOTTOM)}"/>'


def _dot(scene: Scene, event: WrittenEvent, base: float) -> str:
    if not event.dots:
        return ""
    y = number(base + STEM_TOP + 6)
    trembles = any(is_trembling(one) for one in scene.struck if one.moment == event.moment)
    x = DOT_BESIDE_TREMOLO if trembles else DOT
    return f'<svg x="{scene.at(_x(scene, event))}"><circle class="tt-ink" cx="{x:g}" cy="{y}" r="1.5"/></svg>'


def _value(scene: Scene, event: WrittenEvent, base: float) -> str:
    """Stem and dot of a value, and its flag where no beam holds it; nothing where none is claimed."""
    if not event.has_value:
        return ""
    flag = ""
    if event.halvings > QUARTER and not event.beams:
        name = f"flag{event.halvings - QUARTER}"
        flag = f'<svg x="{scene.at(_x(scene, event))}">{use(name, "", base + STEM_BOTTOM)}</svg>'
    return _stem(scene, event, base) + flag + _dot(scene, event, base)


def _beams(scene: Scene, base: float) -> str:
    """Lines from where a beam begins to where it ends, and stubs."""
    parts = []
    begun: dict[int, float] = {}
    for event in scene.events:
        x = _x(scene, event) if event.beams else 0.0
        for level, beam in enumerate(event.beams):
            y = number(base + STEM_BOTTOM - BEAM / 2 - BEAM_STEP * level)
            if beam == BEGIN:
                begun[level] = x
            elif beam == END:
                x1, x2 = scene.at(begun.pop(level)), scene.at(x)
                parts.append(f'<line class="beam" x1="{x1}" x2="{x2}" y1="{y}" y2="{y}"/>')
            elif beam in (FORWARD, BACKWARD):
                stub = STUB if beam == FORWARD else -STUB
                line = f'<line class="beam" x1="0" x2="{stub}" y1="{y}" y2="{y}"/>'
                parts.append(f'<svg x="{scene.at(x)}">{line}</svg>')
    return "".join(parts)


def trace_ties(scenes: Sequence[Scene]) -> list[list[HangingTie]]:
    """The ties of each bar. Bars must have been laid out."""
    ties: list[list[HangingTie]] = [[] for _ in scenes]
    lefts = lefts_of(scenes)
    heights: dict[int, float] = {}
    for place, scene in enumerate(scenes):
        for struck in scene.struck:
            heights.update((struck.first + part, figure.y) for part, figure in enumerate(struck.figures))
        if place and scenes[place - 1].tied_out and scene.events:
            events = scenes[place - 1].events
            end = _x(scene, scene.events[0]) + lefts[place]
            start = lefts[place] + scene.staff - OUT_OF_TIME
            y = _lowest(scene.events[0], heights)
            if events and not events[-1].is_rest and not events[-1].unheard:
                start = _x(scenes[place - 1], events[-1]) + lefts[place - 1]
                ties[place - 1].append(HangingTie(start - lefts[place - 1], end - lefts[place - 1], y))
            if not scene.events[0].unheard:
                ties[place].append(HangingTie(start - lefts[place], end - lefts[place], y))
        for before, after in pairwise(scene.events):
            if after.is_tied and not after.unheard:
                ties[place].append(HangingTie(_x(scene, before), _x(scene, after), _lowest(after, heights)))
    return ties


def _lowest(event: WrittenEvent, heights: Mapping[int, float]) -> float:
    return max(heights[one.index] for one in event.notes)


def _ties(scene: Scene, ties: Sequence[HangingTie]) -> str:
    """Arcs under their strings from a value to the one it is tied to."""
    hanging = [(tie, tie.y + (TIE_DROP if tie.y >= 0 else NAME_DROP)) for tie in ties]
    return "".join(arc(scene, (tie.start, y), (tie.end, y), TIE_BOW, "tie") for tie, y in hanging)


def _tuplet(scene: Scene, tuplet: Tuplet, events: list[WrittenEvent], y: float) -> str:
    """The figure under its beam, within a bracket where no beam of their own shows what belongs together."""
    left, right = _x(scene, events[0]), _x(scene, events[-1])
    figure = f'<text class="tuplet" x="{scene.at((left + right) / 2)}" y="{number(y + 8.5)}">{tuplet.figure}</text>'
    if has_beam_of_its_own(events):
        return figure
    x1, x2, low = scene.at(left - 3), scene.at(right + 3), number(y + 5)
    hooks = "".join(f'<line class="thin" x1="{x}" x2="{x}" y1="{number(y)}" y2="{low}"/>' for x in (x1, x2))
    return f'{hooks}<line class="thin" x1="{x1}" x2="{x2}" y1="{low}" y2="{low}"/>{figure}'
