"""What was carried along with bars that were put in, taken out or moved, and what was not, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tabtools.renumbering.carried import Carried, Left
from tabtools.renumbering.plan import Plan
from tabtools.renumbering.rearranged import Rearranged
from tabtools.source import visible
from tabtools.wording import several


class LessonCarried(NamedTuple):
    """A lesson and what was done to it."""

    path: str
    carried: Carried


def done_in_words(path: str, done: str, plan: Plan, lessons: Sequence[LessonCarried]) -> str:
    """What was done, and what went along."""
    others = sum(old != new and old not in plan.taken for old, new in plan.numbers.items())
    lines = [f"{path}: {done}" + (f", {several(others, 'other bar')} renumbered" if others else "")]
    for lesson, carried in lessons:
        counted = ((carried.claims, "claim"), (carried.links, "link"))
        if counts := [several(number, name) for number, name in counted if number]:
            lines.append(f"{lesson}: {' and '.join(counts)} carried along")
    return "\n".join(map(visible, lines))


def left_in_words(
    path: str, plan: Plan, found: Rearranged, words: Sequence[Left], lessons: Sequence[LessonCarried]
) -> list[str]:
    """What was left and has to be looked at, place by place."""
    left = [*_left_in_solo(path, plan, found), *(_left(path, one) for one in words)]
    left += [_left(lesson, one) for lesson, carried in lessons for one in carried.left]
    return list(map(visible, left))


def _left(path: str, left: Left) -> str:
    return f"{path}:{left.line}  “{left.text}”: {left.why}"


def _left_in_solo(path: str, plan: Plan, found: Rearranged) -> Iterator[str]:
    for number, before in found.cut_off:
        where = f"bar {plan.numbers[before]}" if before in plan.numbers else f"bar {before}, which is gone"
        yield f"{path}: bar {number} goes on from what sounded in {where}"
    for passage in found.passages:
        name = f" “{passage.name}”" if passage.name else ""
        yield f"{path}: the passage{name}, {passage.range} before, is taken out: its bars are not together any more"
    for section in found.sections:
        name = " ".join(filter(None, (section.label, section.name)))
        yield f"{path}: section {name} is taken out: it has no bars left"
    for number in found.untimed:
        yield f"{path}: bar {number} had a time in the recording, which is taken out: another bar is heard there"
    for number in found.written_out:
        yield f"{path}: bar {number} is written out: what it repeated does not stand above it any more"
