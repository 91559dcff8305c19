"""What became of a stretch that is not heard, in a teacher's words."""

from __future__ import annotations

from tabtools.model.solo import BeatLine, Hold, notes_of
from tabtools.review.change import Change, Kind
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
            return _filled(_lines(change.before), _lines(change.after))
        case False, True:
            return "gap more" if now > was else "gap wider"
    return ""


def _filled(before: tuple[BeatLine, ...], after: tuple[BeatLine, ...]) -> str:
    """Of a gap in the place of which something is written now: it is filled only where something is heard in it."""
    if _heard(before) != _heard(after):
        return "gap filled"
    return "gap turned out held over" if _holds(after) > _holds(before) else "gap turned out silent"


def _lines(side: object) -> tuple[BeatLine, ...]:
    return tuple(line for line in side if isinstance(line, BeatLine)) if isinstance(side, tuple) else ()


def _heard(lines: tuple[BeatLine, ...]) -> list[object]:
    return [note for line in lines for note in notes_of(line) if not note.unheard]


def _holds(lines: tuple[BeatLine, ...]) -> int:
    return sum(isinstance(slot, Hold) for line in lines for slot in leaves(line.slots))
