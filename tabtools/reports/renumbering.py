"""What was carried along with bars that were put in, taken out or moved, and what was not, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from tabtools.renumbering.by_hand import Numbered
from tabtools.renumbering.carried import Carried, Left
from tabtools.renumbering.plan import Plan
from tabtools.renumbering.rearranged import Rearranged
from tabtools.source import visible
from tabtools.wording import several


class LessonCarried(NamedTuple):
    """A lesson and what was done to it."""

    path: str
    carried: Carried


def done_in_words(plan: Plan) -> str:
    """What a plan does to the bars."""
    taken = sorted(plan.taken)
    if plan.made:
        done = f"{several(len(plan.made), 'bar')} put in, {_named(plan.made)}"
    elif plan.spot is None:
        done = f"{_named(taken)} taken out"
    else:
        done = f"{_named(taken)} moved, {_named([plan.numbers[bar] for bar in taken])} now"
    others = sum(plan.changes(bar) for bar in plan.numbers if bar not in plan.taken)
    return done + (f", {several(others, 'other bar')} renumbered" if others else "")


def numbered_in_words(found: Numbered, since: str) -> str:
    """What became of the numbers of bars since a commit."""
    changed = sum(map(found.plan.changes, found.plan.numbers))
    if not changed:
        return f"every bar has the number it had at {since}"
    return f"{several(changed, 'bar')} {'has' if changed == 1 else 'have'} another number than at {since}"


def carried_in_words(lessons: Sequence[LessonCarried]) -> list[str]:
    """What went along in each lesson."""
    lines = []
    for lesson, carried in lessons:
        counted = (
            (carried.claims, "claim", ""),
            (carried.links, "link", ""),
            (carried.words, "bar", " named in words"),
        )
        if counts := [several(number, name) + how for number, name, how in counted if number]:
            lines.append(visible(f"{lesson}: {', '.join(counts)} carried along"))
    return lines


def left_in_texts(path: str, words: Sequence[Left], lessons: Sequence[LessonCarried]) -> list[str]:
    """What stands in texts and has to be looked at, place by place; `words` are those of the solo."""
    left = [_left(path, one) for one in words]
    left += [_left(lesson, one) for lesson, carried in lessons for one in carried.left]
    return list(map(visible, left))


def _named(bars: Sequence[int]) -> str:
    return f"bar {bars[0]}" if len(bars) == 1 else f"bars {bars[0]}-{bars[-1]}"


def _left(path: str, left: Left) -> str:
    return f"{path}:{left.line}  “{left.text}”: {left.why}"


def left_in_solo(path: str, plan: Plan, found: Rearranged) -> Iterator[str]:
    """What a rearranged solo could not take along."""
    for number, before in found.cut_off:
        where = f"bar {plan.numbers[before]}" if before in plan.numbers else f"bar {before}, which is gone"
        yield f"{path}: bar {number} goes on from what sounded in {where}"
    for passage, now in found.passages:
        name = f"“{passage.name}”, {passage.range} before," if passage.name else f"{passage.range}"
        why = "some of its bars are gone" if plan.loses(passage.range) else "bars were moved out of it, or into it"
        fate = f"is {now} now: {why}" if now else "is taken out: its bars are gone"
        yield f"{path}: the passage {name} {fate}"
    for section in found.sections:
        name = " ".join(filter(None, (section.label, section.name)))
        yield f"{path}: section {name} is taken out: it has no bars left"
    for number in found.untimed:
        yield f"{path}: bar {number} had a time in the recording, which is taken out: another bar is heard there"
    for number in found.written_out:
        yield f"{path}: bar {number} is written out: what it repeated does not stand above it any more"


def still_old(path: str, found: Numbered) -> Iterator[str]:
    """What of a solo that was numbered anew still goes by the old numbers."""
    for like in found.repeats:
        where = (
            f"bars {like.like_first}-{like.like_last}"
            if like.like_first != like.like_last
            else f"bar {like.like_first}"
        )
        yield f"{path}: bar {like.first} repeats {where} of before, gone now or not together: write it anew"
    for passage in found.passages:
        yield f"{path}: the bars of the passage “{passage.name or passage.range}”, {passage.range} before, are gone"
