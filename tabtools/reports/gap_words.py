"""What became of a stretch that is not heard, in a teacher's words."""

from __future__ import annotations

from collections.abc import Callable

from tabtools.model.solo import BeatLine, Hold, Rest, Slot, Stroke, notes_of
from tabtools.review.change import Change, Kind, Part
from tabtools.timeline.spread import leaves


def gap_in_words(change: Change) -> str:
    """What became of what is not heard in some lines: `gap filled`, `gap wider`; empty where nothing did."""
    was, now = len(change.sounded), len(change.sounds)
    match Kind.HEARD in change.kinds, Kind.OPENED in change.kinds:
        case True, True:
            return "gap elsewhere"
        case True, False if now >= was:
            return "gap smaller"
        case True, False:
            return _filled(_lines(change.before), _lines(change.after), now)
        case False, True:
            return "gap more" if now > was else "gap wider"
    return ""


def is_gone_gap(change: Change) -> bool:
    """Whether it is a stretch that is not heard, and nothing stands in its place."""
    return change.part is Part.NOTHING and change.after is None and all(one.note.unheard for one in change.sounded)


def _filled(before: tuple[BeatLine, ...], after: tuple[BeatLine, ...], now: int) -> str:
    """Of a gap in the place of which something is written now: it is filled only where something is heard in it.

    In the lines after it a note that took the place of a gap stands as that gap: there are more of them than `now`.
    """
    if _heard(before) != _heard(after) or _count(after, _is_gap) > now:
        return "gap filled, partly silent" if _count(after, _is_rest) > _count(before, _is_rest) else "gap filled"
    return "gap turned out held over" if _count(after, _is_hold) > _count(before, _is_hold) else "gap turned out silent"


def _lines(side: object) -> tuple[BeatLine, ...]:
    return tuple(line for line in side if isinstance(line, BeatLine)) if isinstance(side, tuple) else ()


def _heard(lines: tuple[BeatLine, ...]) -> list[object]:
    return [note for line in lines for note in notes_of(line) if not note.unheard]


def _count(lines: tuple[BeatLine, ...], which: Callable[[Slot], bool]) -> int:
    return sum(which(slot) for line in lines for slot in leaves(line.slots))


def _is_hold(slot: Slot) -> bool:
    return isinstance(slot, Hold)


def _is_rest(slot: Slot) -> bool:
    return isinstance(slot, Rest)


def _is_gap(slot: Slot) -> bool:
    return isinstance(slot, Stroke) and slot.notes[0].unheard
