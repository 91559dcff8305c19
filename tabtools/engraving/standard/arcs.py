"""Ties and slurs on the standard staff: arcs that only grow longer as their bar is stretched."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from tabtools.engraving.metrics import number, percent
from tabtools.engraving.scene import Scene
from tabtools.engraving.standard.graces import grace_places
from tabtools.engraving.standard.notated import StaffEvent, StaffHead
from tabtools.engraving.standard.sizes import HEAD, height

TIE, BOW = 6.0, 6.0
"""From the middle of a head to the ends of its tie, and how far that bows."""
INNER = 0.3
"""How near ties within a chord keep to their heads, which they stand beside."""

Block = Callable[[float, float, float, float], None]
"""Keeps the room from left to right, from a height to another."""


def draw_ties(scene: Scene, block: Block) -> Iterator[str]:
    """Arcs from head to head, and to the edges of the piece where they cross them."""
    events = scene.notation
    if not events:
        return
    for one, inset in _tied_in(events[0]):
        yield _tie(scene, scene.staff, scene.x_of(events[0].moment) - inset, events[0], one, block)
    for before, after in pairwise(events):
        x, next_x = scene.x_of(before.moment), scene.x_of(after.moment)
        insets = {one.step: inset for one, inset in _tied_in(after)}
        for one in before.heads:
            if one.head.tied_out:
                yield _tie(scene, x, next_x - insets.get(one.step, 0.0), before, one, block)
    for one in events[-1].heads:
        if one.head.tied_out:
            yield _tie(scene, scene.x_of(events[-1].moment), scene.width, events[-1], one, block)


def _tied_in(event: StaffEvent) -> Iterator[tuple[StaffHead, float]]:
    """The heads that a tie leads to, and how far left of the column of the event they stand: a grace note does."""
    places = grace_places(event)
    for column, place in zip((*event.graces, event.heads), (*places, 0.0), strict=True):
        for one in column:
            if one.head.tied_in:
                yield one, place


def _tie(scene: Scene, left: float, right: float, event: StaffEvent, one: StaffHead, block: Block) -> str:
    """One arc from a place to another: away from the stem of a head, in a chord away from its middle."""
    steps = sorted(other.step for other in event.heads) or [one.step]
    is_over = not event.is_up if len(steps) == 1 else sum(step <= one.step for step in steps) > len(steps) / 2
    is_outer = one.step >= steps[-1] if is_over else one.step <= steps[0]
    way = -1 if is_over else 1
    y = height(one.step) + way * TIE * (1.0 if is_outer else INNER)
    if event.goals and is_outer and is_over:
        y = min(y, height(max(goal.step for goal in event.goals)) - TIE)
    aside = 2.0 if is_outer else HEAD + 2.0
    starts, ends = left > scene.staff, right < scene.width
    bow = way * BOW
    block(left, right, min(y, y + bow), max(y, y + bow))
    return arc(scene, left + aside * starts, right - aside * ends, y, bow, starts, ends)


def arc(scene: Scene, left: float, right: float, y: float, bow: float, starts: bool, ends: bool) -> str:
    """A tapered arc between two places of a piece; open where it goes on beyond an edge."""
    return curve(scene, (left, y), (right, y), bow, starts, ends, "tie")


def curve(
    scene: Scene,
    start: tuple[float, float],
    end: tuple[float, float],
    bow: float,
    starts: bool,
    ends: bool,
    kind: str,
) -> str:
    """A tapered curve from one place and height to another, `bow` pixels over its ends, or under where positive."""
    (left, first), (right, last) = start, end
    crest = min(first, last) + bow if bow < 0 else max(first, last) + bow
    top, foot = min(first, last, crest), max(first, last, crest)
    size = foot - top
    first, last, crest = first - top, last - top, crest - top
    inner = crest + (1.6 if bow < 0 else -1.6)
    crest += 0.4 if bow < 0 else -0.4
    open_first, open_last = (crest, inner), (crest, inner)
    from_y, back_y = (first, first) if starts else open_first
    to_y, in_y = (last, last) if ends else open_last
    turn = f"L100 {number(in_y)}" if not ends else ""
    path = (
        f"M0 {number(from_y)}C20 {number(crest)} 80 {number(crest)} 100 {number(to_y)}{turn}"
        f"C80 {number(inner)} 20 {number(inner)} 0 {number(back_y)}Z"
    )
    return (
        f'<svg class="{kind}" x="{scene.at(left)}" y="{number(top)}" width="{percent((right - left) / scene.width)}" '
        f'height="{number(size)}" viewBox="0 0 100 {number(size)}" preserveAspectRatio="none">'
        f'<path class="tt-ink" d="{path}"/></svg>'
    )
