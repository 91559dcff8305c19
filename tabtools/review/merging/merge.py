"""Two corrections of one solo merged: by header field, bar and beat line, whatever the layout of either."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Generic, Literal, NamedTuple, TypeVar

from tabtools.model.solo import Bar, Comment, Field, Item, Solo
from tabtools.review.fields import named_fields
from tabtools.review.merging.merge_items import OURS, THEIRS, Name, Pieces
from tabtools.review.merging.order import merge_order
from tabtools.review.merging.sides import BeatCollisionError, CollisionError, three_way
from tabtools.review.merging.three import merge_field, merge_item
from tabtools.review.merging.tunings import Tunings
from tabtools.review.sequence import rising

FieldName = tuple[str, int]
"""A field's name, and how many of that name there are by then."""
Remarks = tuple[Comment, ...]
Part = TypeVar("Part")
Side = Literal["ours", "base", "theirs"]
SIDES: tuple[Side, Side] = ("ours", "theirs")


class Conflict(NamedTuple, Generic[Part]):
    """What both sides made of one place, each whole; empty where a side has nothing there. `why` may say why.

    `is_of_beats`: these are one bar, of which only the beats that differ are in conflict.
    """

    ours: tuple[Part, ...]
    base: tuple[Part, ...]
    theirs: tuple[Part, ...]
    why: str = ""
    is_of_beats: bool = False

    def of(self, side: Side) -> tuple[Part, ...]:
        """What stands there when the conflict is decided for a side."""
        return {"ours": self.ours, "base": self.base, "theirs": self.theirs}[side]


@dataclass(frozen=True)
class Merged:
    """The merged version in order: pieces, and conflicts where the two sides cannot both be had.

    `origins` are, for each of the items, its indices in the base, ours and theirs.
    """

    remarks: Remarks | Conflict[Remarks]
    fields: tuple[Field | Conflict[Field], ...]
    items: tuple[Item | Conflict[Item], ...]
    origins: tuple[Name, ...]

    @property
    def conflicts(self) -> tuple[Conflict[Any], ...]:
        return tuple(one for one in (self.remarks, *self.fields, *self.items) if isinstance(one, Conflict))

    def solo(self, side: Side = "ours") -> Solo:
        """The merged solo with this side of every conflict; its header is not read."""
        remarks = self.remarks.of(side) if isinstance(self.remarks, Conflict) else (self.remarks,)
        items = tuple(item for one in self.items for item in items_of(one, side))
        return Solo(fields_of(self.fields, side), items=items, remarks=remarks[0] if remarks else ())


def fields_of(fields: Iterable[Field | Conflict[Field]], side: Side) -> tuple[Field, ...]:
    """The fields, every conflict decided for a side."""
    return tuple(field for one in fields for field in (one.of(side) if isinstance(one, Conflict) else (one,)))


def is_of_beats(item: Item | Conflict[Item]) -> bool:
    """Whether of an item only beats are in conflict."""
    return isinstance(item, Conflict) and item.is_of_beats


def items_of(item: Item | Conflict[Item], side: Side) -> tuple[Item, ...]:
    """What stands there when a conflict is decided for a side."""
    return item.of(side) if isinstance(item, Conflict) else (item,)


def merge(base: Solo, ours: Solo, theirs: Solo) -> Merged:
    """Merge two corrections of `base`. What neither side knows to be wrong is kept; what collides is a conflict.

    Without a base (both sides added the file) everything in which the two differ is a conflict, unless one side is
    empty.
    """
    try:
        remarks: Remarks | Conflict[Remarks] = three_way(base.remarks, ours.remarks, theirs.remarks)
    except CollisionError:
        remarks = Conflict((ours.remarks,), (base.remarks,), (theirs.remarks,))
    has_base = not _is_empty(base) or _is_empty(ours) or _is_empty(theirs)
    fields = tuple(_merge_fields(base, ours, theirs, has_base))
    pieces = Pieces((base, ours, theirs))
    tunings = Tunings(pieces.versions, (fields_of(fields, "ours"), fields_of(fields, "theirs")))
    items = tuple(_with_one_tuning(_merge_items(pieces, has_base), pieces, tunings))
    return Merged(remarks, fields, tuple(item for _, item in items), tuple(name for name, _ in items))


def _some(part: Part | None) -> tuple[Part, ...]:
    return () if part is None else (part,)


def _is_empty(solo: Solo) -> bool:
    return not (solo.fields or solo.items or solo.remarks)


# ---- header


def _merge_fields(base: Solo, ours: Solo, theirs: Solo, has_base: bool) -> Iterator[Field | Conflict[Field]]:
    known = [dict(named_fields(solo)) for solo in (base, ours, theirs)]
    kept = [name for name in {**known[1], **known[2]} if not _is_dropped(*(side.get(name) for side in known))]
    moved = tuple(_moved(list(known[0]), list(side)) for side in known[1:])
    order = merge_order(list(known[1]), list(known[2]), set(kept), ((), ()), (moved[0], moved[1]))
    for name in order.names:
        yield _merge_one_field(known[0].get(name), known[1].get(name), known[2].get(name), has_base)


def _moved(base: list[FieldName], side: list[FieldName]) -> frozenset[FieldName]:
    """The fields that left their place among the others."""
    places = {name: at for at, name in enumerate(side)}
    pairs = [(at, places[name]) for at, name in enumerate(base) if name in places]
    return frozenset(base[at] for at, _ in set(pairs) - set(rising(pairs)))


def _is_dropped(base: Field | None, ours: Field | None, theirs: Field | None) -> bool:
    return base is not None and None in (ours, theirs) and base in (ours, theirs)


def _merge_one_field(
    base: Field | None, ours: Field | None, theirs: Field | None, has_base: bool
) -> Field | Conflict[Field]:
    conflict = Conflict(_some(ours), _some(base), _some(theirs))
    if ours is None or theirs is None:
        lone = ours or theirs
        return conflict if base is not None or not has_base or lone is None else lone
    if base is None:
        return ours if ours == theirs else conflict
    try:
        return merge_field(base, ours, theirs)
    except CollisionError:
        return conflict


# ---- sections, bars, repeats and passages


def _merge_items(pieces: Pieces, has_base: bool) -> Iterator[tuple[Name, Item | Conflict[Item]]]:
    order = pieces.order
    rivals = {name: run for run in order.rivals for side in run for name in side}
    told: list[int] = []
    behind: dict[Name | None, list[Name]] = {}
    for name, previous in order.torn.items():
        behind.setdefault(previous, []).append(name)
    for other in behind.get(None, ()):
        yield other, Conflict((), _all(pieces, [other], 0), _all(pieces, [other], THEIRS))
    for name in order.names:
        if name in rivals:
            if id(rivals[name]) not in told:
                told.append(id(rivals[name]))
                ours, theirs = rivals[name]
                yield name, Conflict(_all(pieces, ours, OURS), (), _all(pieces, theirs, THEIRS))
        elif name in order.torn:
            yield name, Conflict(_all(pieces, [name], OURS), _all(pieces, [name], 0), ())
        else:
            yield name, _merge_one_item(pieces, name, has_base)
        for other in behind.get(name, ()):
            yield other, Conflict((), _all(pieces, [other], 0), _all(pieces, [other], THEIRS))


def _with_one_tuning(
    items: Iterator[tuple[Name, Item | Conflict[Item]]], pieces: Pieces, tunings: Tunings
) -> Iterator[tuple[Name, Item | Conflict[Item]]]:
    """Bars in which notes written for different tunings would come together are left to be decided."""
    for name, item in items:
        bars = [bar for side in SIDES for bar in items_of(item, side) if isinstance(bar, Bar)]
        if bars and (isinstance(item, Bar) or is_of_beats(item)):
            base, ours, theirs = (pieces.final(name, side) for side in range(3))
            own = {OURS: _bar(ours), THEIRS: _bar(theirs)}
            if any(tunings.are_mixed_in(bar, own) for bar in bars):
                yield name, Conflict(_some(ours), _some(base), _some(theirs), "the tunings differ")
                continue
        yield name, item


def _bar(item: Item | None) -> Bar | None:
    return item if isinstance(item, Bar) else None


def _all(pieces: Pieces, names: Sequence[Name], side: int) -> tuple[Item, ...]:
    return tuple(item for name in names if (item := pieces.final(name, side)) is not None)


def _merge_one_item(pieces: Pieces, name: Name, has_base: bool) -> Item | Conflict[Item]:
    base, ours, theirs = (pieces.final(name, side) for side in range(3))
    conflict: Conflict[Item] = Conflict(_some(ours), _some(base), _some(theirs))
    if ours is None or theirs is None:
        side = OURS if theirs is None else THEIRS
        is_lone = name.base is not None or not has_base or pieces.names_what_is_gone(name, side)
        lone = ours or theirs
        return conflict if is_lone or lone is None else lone
    if base is None:
        return ours if ours == theirs else conflict
    changed = [side for side in (OURS, THEIRS) if pieces.is_changed(name, side)]
    if len(changed) == 2:
        try:
            merged = merge_item(base, ours, theirs)
        except BeatCollisionError as collision:
            base, ours, theirs = collision.bars
            return Conflict((ours,), (base,), (theirs,), str(collision), is_of_beats=True)
        except CollisionError as collision:
            return conflict._replace(why=str(collision))
    else:
        side = changed[0] if changed else THEIRS if pieces.names_what_is_gone(name, OURS) else OURS
        merged = ours if side == OURS else theirs
    lost = [side for side in changed if pieces.names_what_is_gone(name, side)]
    return conflict if lost and len(changed) < 2 else merged
