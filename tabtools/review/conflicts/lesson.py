"""A lesson in which a merge left places between markers: the paragraphs that each side has there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from tabtools.notation.conflicts import markers_in_lesson
from tabtools.review.conflicts.markers import Marked, decided_for, marked_places
from tabtools.review.conflicts.solo import LeftByMerge, Versions, between
from tabtools.review.revisions import text_of
from tabtools.source import SourceText


class LessonConflict(NamedTuple):
    """One place: the paragraphs of each side that the markers touch, whole."""

    place: Marked
    ours: str
    theirs: str
    is_edited: bool


def conflicts_of_lesson(lesson: SourceText, versions: Versions | None = None) -> list[LessonConflict]:
    """What is undecided in a lesson, in order; where git has no versions of it, what looks like a place in its code
    is left to its author. Raises `MarkersError`."""
    rows = lesson.lines()
    in_text = {lesson.locate(span.start)[0] - 1 for span in markers_in_lesson(lesson)}
    places = [place for place in marked_places(rows) if versions or place.start in in_text]
    ours, theirs = (decided_for(side, rows, places) for side in ("ours", "theirs"))
    texts = [text_of(content, lesson.path) for content in versions[1:]] if versions else []
    left = LeftByMerge({}, (texts[0].text, texts[1].text) if len(texts) == 2 and texts[0] and texts[1] else None)
    return [
        LessonConflict(
            place,
            _paragraphs(ours.rows, ours.places[at]),
            _paragraphs(theirs.rows, theirs.places[at]),
            not left.holds(between(rows, place, "ours"), between(rows, place, "theirs")),
        )
        for at, place in enumerate(places)
    ]


def _paragraphs(rows: Sequence[str], own: range) -> str:
    """The lines of a place, and those before and behind it up to the next empty one; empty where it has none."""
    first, end = own.start, own.stop
    if not any(rows[at].strip() for at in own):
        return ""
    if rows[first].strip():
        while first > 0 and rows[first - 1].strip():
            first -= 1
    if rows[end - 1].strip():
        while end < len(rows) and rows[end].strip():
            end += 1
    return "\n".join(rows[first:end]).strip("\n")
