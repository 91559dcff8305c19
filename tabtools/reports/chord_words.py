"""What became of the chords of a bar, in a teacher's words: `other chord: Am7 → D7`, `chord settled: C7`."""

from __future__ import annotations

from collections.abc import Sequence

from tabtools.checks.wording import in_a_row
from tabtools.model.solo import Bar, ChordMark, Count, Like
from tabtools.review.bars import spelled_one_way
from tabtools.review.change import Change, Kind
from tabtools.review.doubts import chord_doubts

FIRST = Count(1)


def chords_in_words(change: Change) -> dict[Kind, str]:
    """Of a change of chords: which are others, which are settled, which in doubt now."""
    before, after = _chords(change.before), _chords(change.after)
    others = other_chords(change)
    doubts = chord_doubts(before, after)
    return {
        Kind.HARMONY: ", ".join(others),
        Kind.RESOLVED: _of_doubt(doubts.settled, before, "settled"),
        Kind.RAISED: _of_doubt(doubts.raised, before, "in doubt"),
    }


def other_chords(change: Change) -> list[str]:
    """`other chord: Am7 → D7`, `chord added: D7@3`: what became of the symbols, moment by moment."""
    was, now = ({mark.at or FIRST: mark for mark in _chords(side)} for side in (change.before, change.after))
    added = {mark.symbol: mark for at, mark in now.items() if at not in was}
    gone = {mark.symbol: mark for at, mark in was.items() if at not in now}
    moved = [f"{symbol} begins at {mark.at or FIRST} now" for symbol, mark in added.items() if symbol in gone]
    both = [(was[at].symbol, mark.symbol) for at, mark in now.items() if at in was]
    said = [f"other chord: {old} → {new}" for old, new in both if spelled_one_way(old) != spelled_one_way(new)]
    said += [f"chord added: {_with_moment(mark)}" for symbol, mark in added.items() if symbol not in gone]
    said += [f"chord gone: {_with_moment(mark)}" for symbol, mark in gone.items() if symbol not in added]
    return [*said, *moved] or ["chords written otherwise"]


def _of_doubt(marks: Sequence[ChordMark], before: Sequence[ChordMark], what: str) -> str:
    """Named where nothing else says which."""
    if not marks:
        return ""
    same = {mark.symbol for mark in before}
    is_told = all(mark.symbol not in same for mark in marks)
    return what if is_told else f"chord {what}: {in_a_row([mark.symbol for mark in marks], 'and')}"


def _with_moment(mark: ChordMark) -> str:
    return f"{mark.symbol}@{mark.at}" if mark.at is not None else mark.symbol


def _chords(side: object) -> tuple[ChordMark, ...]:
    if isinstance(side, Bar | Like):
        return side.chords
    return side if isinstance(side, tuple) else ()
