"""What two sides made of the beat lines of one bar."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from tabtools.model.solo import BeatLine
from tabtools.review.merging.settled import merge_music
from tabtools.review.merging.sides import CollisionError, merge_comments, three_way
from tabtools.review.pairing import blocks_of


def merge_lines(*versions: Sequence[BeatLine]) -> tuple[BeatLine, ...]:
    """The lines of the base, ours and theirs as one. Raises `CollisionError`."""
    merged: list[BeatLine] = []
    for block in blocks_of(*versions):
        three = [tuple(lines[index] for index in indices) for lines, indices in zip(versions, block, strict=True)]
        merged.extend(_merge_block(*three))
    return tuple(merged)


class LinesMerged(NamedTuple):
    """The lines of a bar, those in conflict as each side has them; `why` may say what they made of one."""

    base: tuple[BeatLine, ...]
    ours: tuple[BeatLine, ...]
    theirs: tuple[BeatLine, ...]
    why: str


def lines_in_conflict(*versions: Sequence[BeatLine]) -> LinesMerged:
    """What is left of lines that collide: everything else is merged in the lines of every side."""
    sides: list[list[BeatLine]] = [[], [], []]
    why = ""
    for block in blocks_of(*versions):
        three = [tuple(lines[index] for index in indices) for lines, indices in zip(versions, block, strict=True)]
        try:
            own = [_merge_block(*three)] * 3
        except CollisionError as collision:
            own, why = three, why or str(collision)
        for side, lines in zip(sides, own, strict=True):
            side.extend(lines)
    base, ours, theirs = map(tuple, sides)
    return LinesMerged(base, ours, theirs, why)


def _merge_block(
    base: tuple[BeatLine, ...], ours: tuple[BeatLine, ...], theirs: tuple[BeatLine, ...]
) -> tuple[BeatLine, ...]:
    """Lines that cover the same counts: one beat each, as a rule. Where both sides changed them, line by line."""
    try:
        return three_way(base, ours, theirs)
    except CollisionError:
        known = [_by_counts(side) for side in (base, ours, theirs)]
        if list(known[1]) != list(known[2]) and len({counts[:2] for side in known for counts in side}) > 1:
            raise
    merged = (_merge_line(*(side.get(name) for side in known)) for name in {**known[1], **known[2]})
    return tuple(line for line in merged if line is not None)


def _by_counts(lines: Sequence[BeatLine]) -> dict[tuple[int, int, int], BeatLine]:
    """Lines by their counts, and how many of these counts there are by then: a bar may fill one twice."""
    seen: Counter[tuple[int, int]] = Counter()
    found: dict[tuple[int, int, int], BeatLine] = {}
    for line in lines:
        seen[line.first, line.last] += 1
        found[line.first, line.last, seen[line.first, line.last]] = line
    return found


def _merge_line(base: BeatLine | None, ours: BeatLine | None, theirs: BeatLine | None) -> BeatLine | None:
    """One line, None where it is not there. Music and comments may come from different sides."""
    if base is None or ours is None or theirs is None:
        return three_way(base, ours, theirs)
    comments = merge_comments(base.comments, ours.comments, theirs.comments)
    return replace(merge_music(base, ours, theirs), comments=comments)
