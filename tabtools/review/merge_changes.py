"""What a merge changed itself: all that is otherwise in it than in each of the versions it merges."""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.review.change import Change, Comparison, Part

Touched = tuple[int | str, int | str | None]
"""What a change touches: see `_places`."""


def own_changes(comparisons: Sequence[Comparison]) -> tuple[Comparison, list[Change]]:
    """The changes of music that are in all of these comparisons with one version, and the comparison that tells them
    best. Of one comparison these are all its changes of music."""
    places = [[_places(change) for change in one.changes if change.is_music] for one in comparisons]
    found = []
    for index, one in enumerate(comparisons):
        others = [side for at, side in enumerate(places) if at != index]
        changes = [
            change
            for change in one.changes
            if change.is_music and all(any(_meet(_places(change), place) for place in side) for side in others)
        ]
        found.append((sum(change.part is Part.ITEM for change in changes), len(changes), index, changes))
    *_, index, changes = min(found, key=lambda one: one[:3])
    return comparisons[index], changes


def _places(change: Change) -> frozenset[Touched]:
    """What a change touches in the new version: a field, the lines of a bar, or (None) all of a bar."""
    site = change.site
    if change.name:
        return frozenset([("header", change.name)])
    if site.new_item is None:
        return frozenset([("gone", change.was)])
    if change.part in (Part.ITEM, Part.ORDER):
        return frozenset([(site.new_item, None)])
    if change.part is Part.LINES and site.line is not None and isinstance(change.after, tuple) and change.after:
        return frozenset((site.new_item, site.line + step) for step in range(len(change.after)))
    return frozenset([(site.new_item, change.part if site.line is None else site.line)])


def _meet(one: frozenset[Touched], other: frozenset[Touched]) -> bool:
    return any(a == b or (a[0] == b[0] and None in (a[1], b[1])) for a in one for b in other)
