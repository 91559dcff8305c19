"""A solo with its bars in another order, every bar that stays played as it was."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from tabtools.checks.like_range import fault_of
from tabtools.model.solo import AddressRange, Bar, Hold, Item, Like, Passage, Section, Solo, Stroke, numbers_of
from tabtools.renumbering.laid_out import LaidOut, plays_alike
from tabtools.renumbering.pieces import Cell, Piece, PlayedBar, in_pieces, played
from tabtools.renumbering.plan import Plan, PlanError
from tabtools.timeline.spread import leaves

NEEDS_SOUND = frozenset("pbrw")
"""Moves that go on from a note that sounds; the others can come from nowhere."""
NEW = -1
"""The number below 0 that stands for a bar that was not there."""


@dataclass(frozen=True, slots=True)
class Rearranged:
    """A solo with its bars in another order, and what could not be carried along.

    `passages` have other bars than before, with what they are now, None where all their bars are gone; `sections` have
    none any more. `untimed` are bars, by their new numbers, whose place in the
    recording was taken out, `cut_off` bars that begin with what sounded in another bar, with that bar's old number.
    """

    solo: Solo
    passages: tuple[tuple[Passage, AddressRange | None], ...] = ()
    sections: tuple[Section, ...] = ()
    untimed: tuple[int, ...] = ()
    cut_off: tuple[tuple[int, int], ...] = ()
    written_out: tuple[int, ...] = ()


def bars_of(solo: Solo) -> list[int]:
    """The numbers of the bars of a solo in order. Raises `PlanError` where they are not in order."""
    found = [number for item in solo.items if isinstance(item, Bar | Like) for number in numbers_of(item)]
    for before, number in pairwise(found):
        if number <= before:
            raise PlanError(f"bar {number} stands after bar {before}; number the bars first: tabtools bars renumber")
    if not found:
        raise PlanError("the solo has no bars yet")
    return found


def rearranged(solo: Solo, plan: Plan) -> Rearranged:
    """The solo as a plan has it. Raises `PlanError` where a repeat names bars that are not above it."""
    pieces = in_pieces(solo.items)
    _check_repeats(solo)
    order = list(_in_new_order(pieces, plan))
    old_cells = [piece for piece in pieces if isinstance(piece, Cell)]
    facts = dict(zip((cell.number for cell in old_cells), played(solo.header, old_cells), strict=True))
    laid = LaidOut(solo.header, facts)
    passages: list[tuple[Passage, AddressRange | None]] = []
    untimed: list[int] = []
    new_numbers = iter(plan.made)
    for piece in order:
        if isinstance(piece, Section):
            laid.put(piece)
        elif isinstance(piece, Passage):
            now = plan.passage(piece.range)
            if now is not None:
                laid.put(replace(piece, range=now))
            if now is None or now != plan.stretch(piece.range) or plan.loses(piece.range):
                passages.append((piece, now))
        elif piece.number <= NEW:
            laid.put_new(next(new_numbers))
        else:
            number = plan.numbers[piece.number]
            if piece.number in plan.taken and isinstance(piece.item, Bar) and piece.item.at is not None:
                untimed.append(number)
                piece = Cell(piece.number, replace(piece.item, at=None))
            laid.put_bar(piece, number)
    items, gone = _without_empty_sections(laid.finished(), solo.items)
    found = replace(solo, items=items)
    _prove(found, plan, facts)
    cut_off = tuple(_cut_off(old_cells, [piece for piece in order if isinstance(piece, Cell)], plan, facts))
    return Rearranged(found, tuple(passages), gone, tuple(untimed), cut_off, tuple(laid.written_out))


def _check_repeats(solo: Solo) -> None:
    above: set[int] = set()
    for item in solo.items:
        if isinstance(item, Like) and fault_of(item, above):
            message = f"bars {item.first}-{item.last} cannot repeat {item.like_first}-{item.like_last}"
            raise PlanError(f"{message}; mend first what tabtools lint says of it")
        if isinstance(item, Bar | Like):
            above.update(numbers_of(item))


def _in_new_order(pieces: Sequence[Piece], plan: Plan) -> list[Piece]:
    """The pieces as they stand afterwards, new bars among them."""
    taken = [piece for piece in pieces if isinstance(piece, Cell) and piece.number in plan.taken]
    put: list[Piece] = [*taken, *(Cell(NEW, Bar(NEW)) for _ in plan.made)]
    order: list[Piece] = []
    for piece in pieces:
        here = plan.spot if isinstance(piece, Cell) and plan.spot and piece.number == plan.spot.bar else None
        if here and here.side == "before":
            order.extend(put)
        if not isinstance(piece, Cell) or piece.number not in plan.taken:
            order.append(piece)
        if here and here.side == "after":
            order.extend(put)
    return order


def _without_empty_sections(
    items: Sequence[Item], before: Sequence[Item]
) -> tuple[tuple[Item, ...], tuple[Section, ...]]:
    """The items without the sections that had bars and have none any more, and those sections."""
    had_bars = _sections_with_bars(before)
    gone = [item for item in had_bars if item not in _sections_with_bars(items)]
    return tuple(item for item in items if item not in gone), tuple(gone)


def _sections_with_bars(items: Sequence[Item]) -> list[Section]:
    return [
        item
        for at, item in enumerate(items)
        if isinstance(item, Section) and isinstance(_next_of_form(items, at), Bar | Like)
    ]


def _next_of_form(items: Sequence[Item], at: int) -> Item | None:
    """The next section or bar behind an item."""
    return next((item for item in items[at + 1 :] if not isinstance(item, Passage)), None)


def _prove(found: Solo, plan: Plan, facts: Mapping[int, PlayedBar]) -> None:
    """Every bar that stayed is played as it was. Raises `PlanError`."""
    cells = [piece for piece in in_pieces(found.items) if isinstance(piece, Cell)]
    now = dict(zip((cell.number for cell in cells), played(found.header, cells), strict=True))
    for old, number in plan.numbers.items():
        if number not in now or not plays_alike(now[number], facts[old]):
            raise PlanError(f"bar {old} would sound otherwise; this is a fault in tabtools: please report it")


def _cut_off(
    old: Sequence[Cell], new: Sequence[Cell], plan: Plan, facts: Mapping[int, PlayedBar]
) -> Iterator[tuple[int, int]]:
    """(new number, old number of the bar before) of bars that begin with what another bar began, no longer before."""
    was_before = {cell.number: before.number for before, cell in pairwise(old)}
    is_before = {cell.number: before.number for before, cell in pairwise(new)}
    for cell in new:
        before = was_before.get(cell.number)
        if before is None or before == is_before.get(cell.number) or cell.number <= NEW:
            continue
        if _begins_with_others(facts[cell.number].written) and not _is_unheard(facts[before].written):
            yield plan.numbers[cell.number], before


def _is_unheard(bar: Bar) -> bool:
    """Whether nothing of a bar is made out: what was cut off there goes on again where it is gone."""
    slots = [slot for line in bar.lines for slot in leaves(line.slots)]
    return all(isinstance(slot, Stroke) and slot.notes[0].unheard for slot in slots)


def _begins_with_others(bar: Bar) -> bool:
    """Whether a bar begins with a note held over, or its first stroke is a move that needs the one before it."""
    slots = [slot for line in sorted(bar.lines, key=lambda line: line.first) for slot in leaves(line.slots)]
    if slots and isinstance(slots[0], Hold):
        return True
    first = next((slot for slot in slots if isinstance(slot, Stroke)), None)
    return first is not None and any(
        note.via in NEEDS_SOUND or (note.via and note.string is None) for note in first.notes
    )
