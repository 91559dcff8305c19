"""Who last changed the music of each bar; comments, layout and numbers do not count."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from tabtools.model.solo import Bar, Like, first_number, numbers_of
from tabtools.review.align import align
from tabtools.review.change import NOT_MUSIC, Kind, Part, ReadVersion
from tabtools.review.compare import compare
from tabtools.review.history import History, Step
from tabtools.review.merge_changes import own_changes


class Blamed(NamedTuple):
    """A bar, or the bars of a repeat, and the step that last changed them.

    `step` is None for what is not committed, and where nothing is known; `then` is the number of the first bar after
    that step.
    """

    first: int
    last: int
    step: Step | None = None
    then: int | None = None


def blame(history: History, now: ReadVersion) -> list[Blamed]:
    """The bars of the file as it is now. Where there is no history no bar has a step."""
    found: dict[int, tuple[Step, int]] = {}
    bars_now = {index: item for index, item in enumerate(now.solo.items) if isinstance(item, Bar | Like)}
    wanted = {index: index for index in bars_now}
    pending: dict[tuple[str, str], dict[int, int]] = {}
    tip = next(iter(history.steps), None)
    if tip is not None and (version := history.version(tip)) is not None:
        pending[tip] = _same_bars(version, now, wanted)
    for key, step in history.steps.items():
        bars = pending.pop(key, {})
        version = history.version(key)
        if not bars or version is None:
            continue
        for parent in step.parents:
            before = history.version(parent)
            if before is not None:
                passed = _same_bars(before, version, bars)
                pending.setdefault(parent, {}).update(passed)
                kept = set(passed.values())
                bars = {index: bar for index, bar in bars.items() if bar not in kept}
        if len(step.parents) > 1:
            bars = _made_by_merge(history, step, bars, pending)
        for index, bar in bars.items():
            if bar not in found or found[bar][0].commit.when < step.commit.when:
                item = version.solo.items[index]
                if isinstance(item, Bar | Like):
                    found[bar] = step, first_number(item)
    return [
        Blamed(numbers[0], numbers[-1], *found.get(index, ()))
        for index, item in bars_now.items()
        if (numbers := numbers_of(item))
    ]


def _made_by_merge(
    history: History, step: Step, bars: dict[int, int], pending: dict[tuple[str, str], dict[int, int]]
) -> dict[int, int]:
    """Of bars that are otherwise in all that a merge merges, those it changed itself.

    The others only bring together what was changed in each: they are passed on to all of them.
    """
    comparisons = {parent: history.compared(parent, step.key) for parent in step.parents}
    known = {parent: one for parent, one in comparisons.items() if one is not None}
    if not known or not bars:
        return bars
    own = {change.site.new_item for change in own_changes(list(known.values()))[1]}
    for parent, one in known.items():
        passed = {i: bars[j] for i, j in one.alignment.pairs if j in bars and j not in own}
        pending.setdefault(parent, {}).update(passed)
    return {index: bar for index, bar in bars.items() if index in own}


def _same_bars(old: ReadVersion, new: ReadVersion, bars: dict[int, int]) -> dict[int, int]:
    """Of bars of the new version (by item, to what they stand for), those whose music the old one has, by its items."""
    pairs = {j: i for i, j in align(old.solo, new.solo).pairs if j in bars}
    same = {j: i for j, i in pairs.items() if old.solo.items[i] == new.solo.items[j]}
    if len(same) < len(pairs):
        changed = set(_changed(old, new))
        same = {j: i for j, i in pairs.items() if j not in changed}
    return {i: bars[j] for j, i in same.items()}


def _changed(old: ReadVersion, new: ReadVersion) -> Iterator[int]:
    """The items of the new version in which something else is played, or is not certain any more."""
    for change in compare(old, new).changes:
        item = change.site.new_item
        if item is not None and change.part is not Part.ORDER and not _NOT_PLAYED.issuperset(change.kinds):
            yield item


_NOT_PLAYED = NOT_MUSIC | {Kind.RECORDING}
