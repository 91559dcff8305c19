"""Deciding places between markers for a side; every other byte of the file stays as it is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from tabtools.review.conflicts.lesson import LessonConflict
from tabtools.review.conflicts.markers import Marked, Side
from tabtools.review.conflicts.solo import LeftByMerge, OpenConflict
from tabtools.source import cut


class TakeError(Exception):
    """What cannot be decided, and why; the text is for people."""


class Decision(NamedTuple):
    """One thing to decide: what it is called, in words and on each side, and its places between markers."""

    title: str
    names: tuple[frozenset[str], frozenset[str]]
    places: tuple[Marked, ...]
    is_edited: bool


def decisions_of_solo(conflicts: Iterable[OpenConflict]) -> list[Decision]:
    return [Decision(one.title, one.names, one.places, one.is_edited) for one in conflicts]


def decisions_of_lesson(conflicts: Iterable[LessonConflict]) -> list[Decision]:
    return [
        Decision(f"number {number}", (frozenset({str(number)}), frozenset()), (one.place,), one.is_edited)
        for number, one in enumerate(conflicts, 1)
    ]


def chosen(decisions: Sequence[Decision], words: Sequence[str]) -> list[Decision]:
    """The decisions that words name. Raises `TakeError` for a word that names none, for half of what stands between one
    pair of markers, and for what was changed by hand."""
    wanted = {word.lower(): word for word in words}
    found = [one for one in decisions if any(name.lower() in wanted for side in one.names for name in side)]
    for word in wanted:
        if not any(word == name.lower() for one in found for side in one.names for name in side):
            titles = "; ".join(one.title for one in decisions)
            raise TakeError(f"“{cut(wanted[word])}” is not in conflict; still to be decided: {titles}")
    for one in found:
        if not any(side and all(name.lower() in wanted for name in side) for side in one.names):
            raise TakeError(f"{one.title} stand between the same markers; name them all")
        if one.is_edited:
            raise TakeError(
                f"what stands between the markers of {one.title} was changed by hand since the merge; "
                "finish there, and delete the markers"
            )
    return found


def taken(data: bytes, places: Iterable[Marked], side: Side, left: LeftByMerge) -> bytes:
    """A file with the places decided for a side. Raises `TakeError` where the base is not known.

    Where nothing stands on the side that is taken, an empty line behind it goes too.
    """
    rows = data.split(b"\n")
    for place in sorted(places, reverse=True):
        kept = _rows(rows, place, side, left)
        end = place.end
        stood_alone = place.start == 0 or not rows[place.start - 1].strip()
        if not kept and stood_alone and end < len(rows) - 1 and not rows[end].strip():
            end += 1
        rows[place.start : end] = kept
    return b"\n".join(rows)


def _rows(rows: Sequence[bytes], place: Marked, side: Side, left: LeftByMerge) -> list[bytes]:
    own = place.of(side)
    if own is not None:
        return [rows[at] for at in own]
    base = left.base_of(_text(rows, place.ours), _text(rows, place.theirs))
    if base is None:
        raise TakeError("what stood there before is not known; take ours or theirs, or write it by hand")
    line_end = b"\r" if rows[place.start].endswith(b"\r") else b""
    return [row.encode("utf-8") + line_end for row in base.split("\n")] if base else []


def _text(rows: Sequence[bytes], lines: range) -> str:
    return "\n".join(rows[at].removesuffix(b"\r").decode("utf-8-sig") for at in lines)
