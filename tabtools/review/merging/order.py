"""The order of what both sides keep, add and move."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Sequence
from dataclasses import dataclass, field
from typing import Generic, TypeVar

Name = TypeVar("Name", bound=Hashable)


@dataclass
class Order(Generic[Name]):
    """The pieces of the merged version in order.

    `rivals` are runs that both sides added at the same place: (ours, theirs). `torn` are pieces that both moved, to
    different places: they stand where ours has them, and `torn` says behind which piece theirs has them (None: first).
    """

    names: list[Name]
    rivals: list[tuple[list[Name], list[Name]]] = field(default_factory=list)
    torn: dict[Name, Name | None] = field(default_factory=dict)


def merge_order(
    ours: Sequence[Name],
    theirs: Sequence[Name],
    kept: Collection[Name],
    added: tuple[Collection[Name], Collection[Name]],
    moved: tuple[Collection[Name], Collection[Name]],
) -> Order[Name]:
    """Ours, with what theirs added and moved put behind the piece that it follows there.

    `kept` are the names that stand in the merged version, `added` those only ours or only theirs brought, `moved`
    those each side moved.
    """
    order = Order([name for name in ours if name in kept])
    names = order.names
    present = set(names)
    previous: Name | None = None
    for name in theirs:
        if name not in kept:
            continue
        if name not in present:
            _insert(order, name, previous, added)
        elif name in moved[1] and _before(names, name) != previous:
            if name in moved[0]:
                order.torn[name] = previous
            else:
                names.remove(name)
                names.insert(_behind(names, previous), name)
        previous = name
    return order


def _before(names: list[Name], name: Name) -> Name | None:
    at = names.index(name)
    return names[at - 1] if at else None


def _behind(names: list[Name], previous: Name | None) -> int:
    return 0 if previous is None else names.index(previous) + 1


def _insert(
    order: Order[Name], name: Name, previous: Name | None, added: tuple[Collection[Name], Collection[Name]]
) -> None:
    """Put a piece of theirs in; behind what ours added there, of which it is a rival."""
    at = _behind(order.names, previous)
    run = next((rivals for rivals in order.rivals if previous in rivals[1]), None)
    if run is None and name in added[1]:
        end = at
        while end < len(order.names) and order.names[end] in added[0]:
            end += 1
        if end > at:
            run = (order.names[at:end], [])
            order.rivals.append(run)
            at = end
    if run is not None and name in added[1]:
        run[1].append(name)
    order.names.insert(at, name)
